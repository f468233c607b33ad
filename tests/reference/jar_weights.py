"""The factors that check weights of jars are judged with, against Student's t as SciPy computes it: t at 97.5 % with one degree
of freedom fewer than jars were weighed, over the root of their count. Where our table has a row, it must agree to its last
figure; between rows ours may only be larger (chance is given more room, never less), by at most 2 %.
"""

import csv
import math
import sys

from scipy.stats import t

EXACT_UP_TO = 31  # jars: the table has every row up to 30 degrees of freedom


def main():
    rows = wrong = 0
    for path in sys.argv[1:]:
        with open(path, encoding="utf-8") as file:
            for row in csv.DictReader(file):
                rows += 1
                count, ours = int(row["weighed"]), float(row["factor"])
                factor = t.ppf(0.975, count - 1) / math.sqrt(count)
                slack = 0.0006 / math.sqrt(count)  # three decimals of t, cut or rounded
                most = slack if count <= EXACT_UP_TO else 0.02 * factor
                if not -slack <= ours - factor <= most:
                    wrong += 1
                    print(f"{count} jars: {ours:.6f}, SciPy {factor:.6f}")
    print(f"jar_weights: {rows} factors compared, {wrong} differ")
    return 1 if wrong or rows < 50 else 0


if __name__ == "__main__":
    sys.exit(main())
