"""Runs press days through a mill built with PyPI simpy: what was booked must fit into its vessels and be on
the fire in time.

    python rooms_sim.py DAYS.json        needs: simpy

`cargo test --test checks rooms::` writes the days: members booked turns one after the other, wherever the program
said there was room; `cargo test --test pages proposed_days::` writes those that the season's proposal fills. This mill knows nothing of how it decides. It is built from what a mill does:

* Cane of one turn after another is pressed, at the mill's rate; its juice runs evenly meanwhile.
* Juice runs into the smallest empty vessel that takes what is still to come of the turn; where none does,
  into the largest empty one, and when that is full into the next. Juice of two turns never shares a vessel.
  When none is empty, it overflows.
* In a vessel that is full, or whose turn is pressed, juice settles. Then it may be drawn off.
* A free pan takes settled juice, oldest first, up to its greatest charge. It is lit when its least charge is
  there; with less when nothing more can come to it, or the oldest may wait no longer. Of several free pans
  the smallest that takes everything is lit, else the largest. Who does not pool is boiled alone.
* A charge takes an hour for heating up, finishing, drawing off and cleaning (common practice), and the time
  in which its water boils off.

Juice may be held from its first drop in the vessel until it is on the fire. Of starts that were refused
because of the juice it is checked that the mill does fail there.
"""

import json
import math
import os
import re
import sys

import simpy

# Litres and minutes: what rounding to whole millilitres and seconds may come to.
NEAR_L = 0.05
NEAR_MIN = 0.2


class Overflow(Exception):
    pass


def litres_an_kg(brix):
    """Specific gravity of a sugar solution from its Brix, as brewers reckon it (from memory; the polynomial's
    inverse is common practice), times water at 20 °C."""
    gravity = 1 + brix / (258.6 - brix / 258.2 * 227.1)
    return 1 / (gravity * 0.99820)


class Vessel:
    def __init__(self, holds):
        self.holds = holds
        self.juice = 0.0
        self.turn = None  # whose it is, from the first drop until it is empty again
        self.first = None
        self.settled = math.inf


class Mill:
    def __init__(self, day, turns):
        self.day = day
        self.env = simpy.Environment()
        self.vessels = [Vessel(v) for v in day["vessels_l"]]
        self.per_kg = litres_an_kg(day["floor_bx"])
        # Litres of water in a litre of juice, as kilograms.
        self.water = (1 - day["floor_bx"] / day["target_bx"]) / self.per_kg
        self.turns = sorted(turns, key=lambda t: t["start_min"])
        self.pressed = [False] * len(self.turns)
        self.waits = [0.0] * len(self.turns)
        self.spilt = None
        self.busy = 0.0
        self.boiled = 0.0
        self.changed = self.env.event()
        self.free = list(range(len(day["pans"])))
        self.env.process(self.press())
        self.env.process(self.boilery())

    def something_changed(self):
        self.changed.succeed()
        self.changed = self.env.event()

    # --- the mill and its vessels

    def empty_vessel(self, to_come):
        empty = [v for v in self.vessels if v.turn is None]
        if not empty:
            return None
        take_all = [v for v in empty if v.holds >= to_come - 1e-9]
        if take_all:
            return min(take_all, key=lambda v: v.holds)
        return max(empty, key=lambda v: v.holds)

    def press(self):
        for nth, turn in enumerate(self.turns):
            if turn["start_min"] > self.env.now:
                yield self.env.timeout(turn["start_min"] - self.env.now)
            kg = turn["cane_kg"]
            to_come = kg * self.day["juice_pct"] / 100 * self.per_kg
            pace = to_come / min(kg * 60 / self.day["mill_kg_h"], turn["minutes"])
            while to_come > 1e-9:
                vessel = self.empty_vessel(to_come)
                if vessel is None:
                    # Whoever draws off at this very minute is let go first.
                    yield self.env.timeout(NEAR_MIN / 2)
                    vessel = self.empty_vessel(to_come)
                if vessel is None and to_come > NEAR_L:
                    self.spilt = (nth, self.env.now, to_come)
                    raise Overflow
                if vessel is None:
                    break
                vessel.turn, vessel.first = nth, self.env.now
                runs = min(vessel.holds, to_come)
                yield self.env.timeout(runs / pace)
                to_come -= runs
                vessel.juice = runs
                vessel.settled = self.env.now + self.day["settles_min"]
                self.env.process(self.settle())
            self.pressed[nth] = True
            self.something_changed()

    def settle(self):
        yield self.env.timeout(self.day["settles_min"])
        self.something_changed()

    # --- the pans

    def lots(self):
        """Juice that may be boiled together: vessels by lot, with whether more comes to it."""
        lots = {}
        for vessel in self.vessels:
            if vessel.turn is not None:
                key = "pool" if self.turns[vessel.turn]["pools"] else vessel.turn
                lots.setdefault(key, []).append(vessel)
        for key, vessels in lots.items():
            of_lot = [n for n, t in enumerate(self.turns) if (t["pools"] and key == "pool") or n == key]
            comes = not all(self.pressed[n] for n in of_lot)
            comes = comes or any(v.settled > self.env.now + 1e-9 for v in vessels)
            settled = [v for v in vessels if v.settled <= self.env.now + 1e-9]
            if settled:
                settled.sort(key=lambda v: v.first)
                yield settled, comes

    def choose(self):
        pans = self.day["pans"]
        for settled, comes in sorted(self.lots(), key=lambda lot: lot[0][0].first):
            there = sum(v.juice for v in settled)
            due = settled[0].first + self.day["hold_min"] <= self.env.now + 1e-9
            fit = [p for p in self.free if pans[p]["least_l"] <= there + 1e-6]
            if not fit and (due or not comes):
                fit = self.free
            if fit:
                take_all = [p for p in fit if pans[p]["most_l"] >= there - 1e-6]
                if take_all:
                    return min(take_all, key=lambda p: pans[p]["most_l"]), settled, there
                return max(fit, key=lambda p: pans[p]["most_l"]), settled, there
        return None

    def boilery(self):
        while True:
            while (chosen := self.choose()) is not None:
                pan, settled, there = chosen
                self.env.process(self.boil(pan, settled, min(there, self.day["pans"][pan]["most_l"])))
                self.free.remove(pan)
                yield self.env.timeout(0)
            dues = [v.first + self.day["hold_min"] for v in self.vessels if v.turn is not None]
            dues = [due - self.env.now for due in dues if due > self.env.now + 1e-9]
            # Waits for whatever comes first: a change, or juice that may wait no longer.
            wake = [self.changed] + [self.env.timeout(due) for due in dues]
            yield simpy.AnyOf(self.env, wake)

    def boil(self, pan, settled, charge):
        assert charge <= self.day["pans"][pan]["most_l"] + NEAR_L
        left = charge
        for vessel in settled:
            draw = min(left, vessel.juice)
            if draw <= 1e-9:
                break
            left -= draw
            vessel.juice -= draw
            self.waits[vessel.turn] = max(self.waits[vessel.turn], self.env.now - vessel.first)
            if vessel.juice <= 1e-6:
                vessel.juice, vessel.turn, vessel.settled = 0.0, None, math.inf
        boils = charge * self.water / self.day["pans"][pan]["water_l_h"] * 60
        self.busy += self.day["round_min"] + boils
        self.boiled += charge
        yield self.env.timeout(self.day["round_min"] + boils)
        self.free.append(pan)
        self.something_changed()

    def run(self):
        try:
            # Two days: by then everything is boiled.
            self.env.run(until=2880)
        except Overflow:
            return self
        assert all(self.pressed) and all(v.turn is None for v in self.vessels), "juice was never boiled"
        return self

    def late(self):
        return max(self.waits, default=0.0) - self.day["hold_min"]


def said_minutes(sentence):
    """The wait that a refusal names: "about 6 h 10 min"."""
    found = re.search(r"would wait about (?:(\d+) h)? ?(?:(\d+) min)? ?before", sentence)
    return found and int(found.group(1) or 0) * 60 + int(found.group(2) or 0)


def refused_rightly(day):
    """Whether the mill fails with the turn that was refused; none: it was refused for the mill's minutes."""
    asked = day["refused"]
    if not asked or asked["code"] not in ("vessels-full", "pan-full"):
        return None
    mill = Mill(day, asked["beside"] + [asked]).run()
    if asked["code"] == "vessels-full":
        return mill.spilt is not None
    return mill.spilt is None and mill.late() > 0


def wait_as_said(day):
    """Whether juice waits as long as a refusal for the pan said."""
    asked = day["refused"]
    mill = Mill(day, asked["beside"] + [asked]).run()
    said = said_minutes(asked["said"])
    return any(abs(said - wait) <= 6 for wait in mill.waits if wait > day["hold_min"])


def main(path):
    with open(path, encoding="utf-8") as file:
        days = json.load(file)
    # Days that members booked one turn after the other, with the starts that were refused; or a season's proposal, which asks nobody.
    booked = os.path.basename(os.path.dirname(path)) == "rooms"
    assert len(days) >= (200 if booked else 10), len(days)
    overflows, late, wrong, turns, busy, span = [], [], [], 0, 0.0, 0.0
    refused = waits = other_wait = 0
    for nth, day in enumerate(days):
        turns += len(day["turns"])
        mill = Mill(day, day["turns"]).run()
        if mill.spilt is not None:
            overflows.append((nth, mill.spilt))
        elif mill.late() > NEAR_MIN:
            # No turn is booked whose juice would be late: what is late here was never said.
            late.append((nth, round(mill.late(), 1)))
        busy += mill.busy
        # From when the first juice can have settled to the mill's closing.
        span += len(day["pans"]) * (1020 - 420 - day["settles_min"])
        rightly = refused_rightly(day)
        refused += rightly is not None
        if rightly is False:
            wrong.append(nth)
        elif rightly and day["refused"]["code"] == "pan-full":
            waits += 1
            other_wait += not wait_as_said(day)
    assert not overflows, f"vessels overflow: {overflows}"
    assert not late, f"juice is held too long: {late}"
    # Some start is refused on most days, or nothing was tried.
    if booked:
        assert refused >= 60 and waits >= 10, (refused, waits)
    else:
        assert not any(day["refused"] for day in days), "a proposal refuses nothing"
    assert not wrong, f"refused for nothing: {wrong} of {refused}"
    # Juice that is a few millilitres more or less than a least charge is lit at another time.
    assert other_wait * 50 <= waits, f"{other_wait} of {waits} waits are not as they were said"
    print(
        f"{len(days)} days of {turns} turns: no vessel overflows, no juice is late; {refused} refusals are right, "
        f"{waits - other_wait} of {waits} waits are as they were said; "
        f"the pans burn {busy / span:.2f} of the time from settling to closing"
    )
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
