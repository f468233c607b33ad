"""Holds docker-compose.yml against the published Compose specification's schema (carried by the PyPI
package check-jsonschema), and checks what a schema cannot: that every COPY of the described image has
something to copy, and that the program knows every variable that is set.
"""

import re
import subprocess
import sys
from pathlib import Path

import ruamel.yaml

ROOT = Path(__file__).resolve().parents[2]


def main():
    path = ROOT / "docker-compose.yml"
    tool = Path(sys.executable).with_name("check-jsonschema")
    done = subprocess.run([tool, "--builtin-schema", "vendor.compose-spec", str(path)])
    wrong = [] if done.returncode == 0 else ["the schema refuses it"]
    service = ruamel.yaml.YAML(typ="safe").load(path.read_text())["services"]["canewright"]
    for line in service["build"]["dockerfile_inline"].splitlines():
        words = line.split()
        if words[:1] == ["COPY"] and not words[1].startswith("--from"):
            wrong += [f"nothing to copy: {w}" for w in words[1:-1] if not (ROOT / w).exists()]
    config = (ROOT / "src/config.rs").read_text()
    known = set(re.findall(r'env = "(\w+)"', config))
    wrong += [f"unknown variable: {v}" for v in service["environment"] if v not in known]
    for sentence in wrong:
        print(sentence, file=sys.stderr)
    print(f"{len(known)} variables known, {len(service['environment'])} set")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
