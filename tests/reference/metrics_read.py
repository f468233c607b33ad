"""Reads the figures that our program serves with the OpenMetrics parser of Prometheus's own Python client.

    python metrics_read.py        needs: prometheus-client, and `cargo build` done
"""

import os
import signal
import socket
import subprocess
import sys
import tempfile
import time
import urllib.error
import urllib.request
from pathlib import Path

from prometheus_client.openmetrics.parser import text_string_to_metric_families

ROOT = Path(__file__).resolve().parents[2]
BINARY = Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "debug" / "canewright"
KINDS = {
    "canewright_requests": "counter",
    "canewright_request_seconds": "histogram",
    "canewright_writer_wait_seconds": "summary",
    "canewright_backup_age_seconds": "gauge",
    "canewright_disk_free_bytes": "gauge",
    "canewright_letters_waiting": "gauge",
    "canewright_storable": "gauge",
}


def free_port():
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return held.getsockname()[1]


def fetched(url):
    for _ in range(300):
        try:
            return urllib.request.urlopen(url)
        except urllib.error.HTTPError as answered:
            return answered
        except OSError:
            time.sleep(0.1)
    sys.exit(f"{url} never answered")


def main():
    site, figures = free_port(), free_port()
    with tempfile.TemporaryDirectory() as scratch:
        program = subprocess.Popen(
            [BINARY, "demo", "--database", f"{scratch}/demo.db", "--listen", f"127.0.0.1:{site}",
             "--metrics", f"127.0.0.1:{figures}"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        try:
            for path in ("/sign-in", "/nothing/here", "/health"):
                fetched(f"http://127.0.0.1:{site}{path}").read()
            answer = fetched(f"http://127.0.0.1:{figures}/metrics")
            kind, text = answer.headers["Content-Type"], answer.read().decode()
        finally:
            program.send_signal(signal.SIGTERM)
            program.wait()
    if not kind.startswith("application/openmetrics-text; version=1.0.0"):
        sys.exit(f"served as {kind}")
    families = {family.name: family for family in text_string_to_metric_families(text)}
    kinds = {name: family.type for name, family in families.items()}
    if kinds != KINDS:
        sys.exit(f"not so: {kinds}")
    asked = {(s.labels["route"], s.labels["status"]): s.value for s in families["canewright_requests"].samples}
    if asked.get(("/sign-in", "2xx")) != 1 or asked.get(("none", "4xx")) != 1:
        sys.exit(f"not counted as asked: {asked}")
    print(f"{len(families)} kinds of figures read, {sum(asked.values()):.0f} requests")


if __name__ == "__main__":
    main()
