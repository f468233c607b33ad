"""Runs the line at the mill with PyPI simpy and compares starts and waits with what `cargo test` wrote.

    python queue_sim.py DAYS.csv MEANS.csv        needs: simpy

The rules: one mill, turns in their order, none before it is ready nor before the one ahead is done. The
first file gives days turn by turn, with their service times: starts and waits must be equal. The second
gives mean waits over many days of chance service times: here other chances are drawn, and the means must
agree within four standard errors of their difference.
"""

import csv
import os
import random
import sys

import simpy

DAYS_HERE = 4000


def simulate(free, line):
    """Starts of (ready, service) in order; the mill is taken until `free`."""
    env = simpy.Environment()
    mill = simpy.Resource(env, capacity=1)
    starts = [None] * len(line)
    # A turn may ask for the mill only when the one ahead of it has: the order is that of turns.
    asked = [env.event() for _ in range(len(line) + 1)]

    def before():
        with mill.request() as has:
            asked[0].succeed()
            yield has
            yield env.timeout(free)

    def turn(nth, ready, service):
        yield asked[nth]
        with mill.request() as has:
            asked[nth + 1].succeed()
            yield has
            if env.now < ready:
                yield env.timeout(ready - env.now)
            starts[nth] = env.now
            yield env.timeout(service)

    env.process(before())
    for nth, (ready, service) in enumerate(line):
        env.process(turn(nth, ready, service))
    env.run()
    return starts


def rows(path):
    with open(path, encoding="utf-8") as file:
        return [{k: float(v) for k, v in row.items()} for row in csv.DictReader(file)]


def same_days(path):
    days = {}
    for row in rows(path):
        days.setdefault(row["day"], []).append(row)
    assert len(days) >= 40
    waited = 0
    for day in days.values():
        line = [(row["ready_min"], row["service_min"]) for row in day]
        for row, start in zip(day, simulate(day[0]["free_min"], line), strict=True):
            assert abs(row["start_min"] - start) < 1e-6, (row, start)
            assert abs(row["wait_min"] - (start - row["ready_min"])) < 1e-6, (row, start)
            waited += row["wait_min"] > 1
    assert waited > 100, "nobody waited: the days say nothing"
    print(f"{len(days)} days, every start the same; {waited} waits of over a minute")


def same_means(path):
    table = rows(path)
    chance = random.Random(19)
    first = table[0]
    sums = [[0.0, 0.0] for _ in table]
    for _ in range(DAYS_HERE):
        line = [
            (nth * first["apart_min"], chance.uniform(first["least_min"], first["most_min"]))
            for nth in range(len(table))
        ]
        for nth, start in enumerate(simulate(0.0, line)):
            wait = start - line[nth][0]
            sums[nth][0] += wait
            sums[nth][1] += wait * wait
    worst = 0.0
    for row, (total, squares) in zip(table, sums, strict=True):
        mean = total / DAYS_HERE
        variance = max(squares / DAYS_HERE - mean * mean, 0.0)
        error = (variance / DAYS_HERE + row["deviation_min"] ** 2 / row["days"]) ** 0.5
        apart = abs(mean - row["mean_wait_min"])
        assert apart <= 4 * error + 1e-9, (row, mean, error)
        worst = max(worst, apart / error if error > 0 else 0.0)
    print(f"mean waits of {len(table)} turns agree; farthest {worst:.1f} standard errors apart")


def main(paths):
    for path in paths:
        (same_days if os.path.basename(path) == "days.csv" else same_means)(path)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
