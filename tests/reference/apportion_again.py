"""Works the cases of target/tmp/shares/largest_remainder.csv again with the PyPI package `apportionment`.

    python apportion_again.py FILE        needs: apportionment

The package knows no fair tie, so a case where it reports one is compared only in what each tied
place may get. Exit 1 on any difference.
"""

import csv
import sys

from apportionment import methods


def main(path):
    same = tied = wrong = 0
    with open(path, newline="") as file:
        for row in csv.DictReader(file):
            weights = [int(w) for w in row["weights"].split(";")]
            given = [int(g) for g in row["given"].split(";")]
            ask = dict(fractions=True, parties=[str(i) for i in range(len(weights))])
            try:
                expected = methods.compute(
                    "hamilton", weights, int(row["seats"]), tiesallowed=False, **ask
                )
            except methods.TiesException:
                tied += 1
                expected = methods.compute("hamilton", weights, int(row["seats"]), **ask)
                if sum(given) != sum(expected) or any(
                    abs(a - b) > 1 for a, b in zip(given, expected)
                ):
                    wrong += 1
                continue
            if given == expected:
                same += 1
            else:
                wrong += 1
                print(f"differs: {row} expected {expected}", file=sys.stderr)
    print(f"{same} equal, {tied} with a tie, {wrong} different")
    return 1 if wrong or not same else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
