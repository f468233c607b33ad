"""Plans seasons anew by mixed-integer programming (PyPI highspy, the HiGHS solver) and compares what the program
proposed: how much dearer it is, whether any day holds more than it can, how the worst-off member fares.

    python season_milp.py SEASONS.json [how many [seconds]]        needs: highspy

`cargo test --test checks proposal::` writes the seasons with what the program proposed. A piece of a planting takes
a day its time at the rollers and one change-over; a day that is opened costs what opening it costs, what is missing
to fill a pan, and the cane whose juice waits; each further day on which one planting is hauled costs its haul; cane left over is lost
wholly. First the part that the worst-off member loses is made as small as can be: beyond
the least that this member could lose with all days alone, by a linear program of its own. Then, with nobody above that step, the cost.
A piece is no smaller than the program lets it be: where many plantings are small, what a turn must at least bring decides who has to
stay away.
"""

import json
import math
import statistics
import sys

import highspy

GAP = 1e-6  # between optimum and bound, part of the optimum
SECONDS = 4  # for each of the two questions, unless told otherwise; where it is not enough the solver’s own bound is taken
MEDIAN_OVER, WORST_OVER = 0.03, 0.08
EXACT = 2e-4  # what is said to be the best there is may be so much dearer than the optimum


def build(season, seconds):
    h = highspy.Highs()
    h.silent()
    h.setOptionValue("time_limit", float(seconds))
    h.setOptionValue("mip_rel_gap", GAP)
    days, patches = season["days"], season["patches"]
    opened = [h.addVariable(0, 1, type=highspy.HighsVarType.kInteger) for _ in days]
    kg, here = {}, {}
    for p, patch in enumerate(patches):
        for d, lost in enumerate(patch["lost"]):
            if lost is not None:
                kg[p, d] = h.addVariable(0, patch["kg"])
                here[p, d] = h.addVariable(0, 1, type=highspy.HighsVarType.kInteger)
                h.addConstr(kg[p, d] <= patch["kg"] * here[p, d])
                h.addConstr(kg[p, d] >= min(season["least"], patch["kg"]) * here[p, d])
                h.addConstr(here[p, d] <= opened[d])
        own = [kg[p, d] for d in range(len(days)) if (p, d) in kg]
        if own:
            h.addConstr(sum(own[1:], own[0] * 1) <= patch["kg"])
    for d, day in enumerate(days):
        on = [p for p in range(len(patches)) if (p, d) in kg]
        if on:
            minutes = sum((kg[p, d] * (1 / day["rate"]) + here[p, d] * day["changeover"] for p in on), opened[d] * 0)
            h.addConstr(minutes <= day["minutes"] * opened[d])
            h.addConstr(sum((kg[p, d] * 1 for p in on), opened[d] * 0) <= day["most"] * opened[d])
    extra = opened[0] * 0
    for p in range(len(patches)):
        days_of = [here[p, d] * 1 for d in range(len(days)) if (p, d) in here]
        if len(days_of) > 1 and season["haul"] > 0:
            further = h.addVariable(0, len(days_of) - 1)  # days on which it is hauled, beyond the first
            h.addConstr(sum(days_of[1:], days_of[0]) <= further + 1)
            extra = extra + further * season["haul"]
    for d, day in enumerate(days):
        cane = sum((kg[p, d] * 1 for p in range(len(patches)) if (p, d) in kg), opened[d] * 0)
        missing, waits = h.addVariable(0, day["pan"]), h.addVariable(0, max(0.0, day["most"] - day["prompt"]))
        h.addConstr(missing + cane >= day["pan"] * opened[d])
        h.addConstr(cane <= waits + day["prompt"])
        extra = extra + missing * day["short"] + waits * day["waiting"] + opened[d] * day["opening"]
    lost = []
    for m in range(1 + max(p["owner"] for p in patches)):
        own = [p for p, patch in enumerate(patches) if patch["owner"] == m]
        cane = sum(patches[p]["kg"] for p in own)
        saved = sum(
            (kg[p, d] * (1 - patches[p]["lost"][d]) for p in own for d in range(len(days)) if (p, d) in kg),
            opened[0] * 0,
        )
        lost.append((cane, saved))
    return h, opened, extra, lost


def unhelped(season, member):
    """What a member loses with all days to the own cane alone, no day holding more than it can of it, kg."""
    h = highspy.Highs()
    h.silent()
    own = [patch for patch in season["patches"] if patch["owner"] == member]
    kg = {}
    for p, patch in enumerate(own):
        for d, lost in enumerate(patch["lost"]):
            if lost is not None:
                kg[p, d] = h.addVariable(0, patch["kg"])
        on = [kg[p, d] * 1 for d in range(len(season["days"])) if (p, d) in kg]
        if on:
            h.addConstr(sum(on[1:], on[0]) <= patch["kg"])
    for d, day in enumerate(season["days"]):
        on = [kg[p, d] * 1 for p in range(len(own)) if (p, d) in kg]
        if on:
            h.addConstr(sum(on[1:], on[0]) <= max(0.0, min(day["most"], (day["minutes"] - day["changeover"]) * day["rate"])))
    cane = sum(patch["kg"] for patch in own)
    saved = [k * (own[p]["lost"][d] - 1) for (p, d), k in kg.items()]
    if not saved:
        return cane
    h.minimize(sum(saved[1:], saved[0]))
    return max(0.0, cane + h.getInfo().objective_function_value)


def solved(h, expression):
    h.minimize(expression)
    info = h.getInfo()
    found = info.primal_solution_status == 2
    return (info.objective_function_value if found else math.inf), info.mip_dual_bound


def best(season, seconds=SECONDS):
    """The step of the worst-off member that can be had for certain, and the cost's optimum or bound there."""
    step = season["step"]
    least = [unhelped(season, m) for m in range(1 + max(p["owner"] for p in season["patches"]))]
    h, opened, extra, lost = build(season, seconds)
    worst = h.addVariable(0, 1)
    for (cane, saved), own in zip(lost, least):
        if cane > 0:
            h.addConstr(saved + worst * cane >= cane - own)
    found, bound = solved(h, worst * 1.0)
    in_steps = math.floor((bound + 1e-7) / step)
    h, opened, extra, lost = build(season, seconds)
    for (cane, saved), own in zip(lost, least):
        if cane > 0:
            h.addConstr(saved >= cane - own - (in_steps + 1) * step * cane)
    cane = sum(c for c, _ in lost)
    cost = sum((-1.0 * s for _, s in lost), extra)
    found, bound = solved(h, cost)
    return in_steps, cane + bound, cane + found


def over_full(season):
    """Pieces that cannot be as they are proposed."""
    wrong = []
    for d, day in enumerate(season["days"]):
        on = [kg for p, e, kg in season["pieces"] if e == d]
        minutes = sum(kg / day["rate"] + day["changeover"] for kg in on)
        if minutes > day["minutes"] + 1e-6 or sum(on) > day["most"] + 1e-6:
            wrong.append(f"day {d} holds {minutes:.1f} min and {sum(on):.1f} kg")
    for p, patch in enumerate(season["patches"]):
        own = [(d, kg) for q, d, kg in season["pieces"] if q == p]
        if sum(kg for _, kg in own) > patch["kg"] + 1e-6:
            wrong.append(f"planting {p} is pressed twice")
        if any(patch["lost"][d] is None for d, _ in own):
            wrong.append(f"planting {p} is put on a day on which it cannot come")
    return wrong


def reckoned(season):
    """Cost, and the worst part beyond what could not be helped, from the pieces alone."""
    members = 1 + max(p["owner"] for p in season["patches"])
    cane, lost = [0.0] * members, [0.0] * members
    for patch in season["patches"]:
        cane[patch["owner"]] += patch["kg"]
        lost[patch["owner"]] += patch["kg"]
    for p, d, kg in season["pieces"]:
        patch = season["patches"][p]
        lost[patch["owner"]] -= kg * (1 - patch["lost"][d])
    days = 0.0
    for d in {d for _, d, _ in season["pieces"]}:
        day, on = season["days"][d], sum(kg for _, e, kg in season["pieces"] if e == d)
        days += day["opening"] + day["short"] * max(0.0, day["pan"] - on) + day["waiting"] * max(0.0, on - day["prompt"])
    on = [sum(1 for q, _, _ in season["pieces"] if q == p) for p in range(len(season["patches"]))]
    hauls = season["haul"] * sum(max(0, n - 1) for n in on)
    least = [unhelped(season, m) for m in range(members)]
    return sum(lost) + days + hauls, max(max(0.0, l - o) / c for l, o, c in zip(lost, least, cane) if c > 0)


def main():
    seasons = json.load(open(sys.argv[1]))
    seasons = seasons[: int(sys.argv[2])] if len(sys.argv) > 2 else seasons
    seconds = float(sys.argv[3]) if len(sys.argv) > 3 else SECONDS
    over, kept, steps, gaps, wrong = [], [], [], [], []
    for n, season in enumerate(seasons):
        wrong += [f"season {n}: {what}" for what in over_full(season)]
        cost, worst = reckoned(season)
        if abs(cost - season["cost"]) > 1e-3 or abs(worst - season["worst"]) > 1e-6:
            wrong.append(f"season {n}: says {season['cost']:.2f} and {season['worst']:.4f}, is {cost:.2f} and {worst:.4f}")
        step, bound, found = best(season, seconds)
        if season["bound"] > found + 1e-3 * abs(found) + 1e-3 and found < math.inf:
            wrong.append(f"season {n}: its bound {season['bound']:.2f} is above {found:.2f}, which can be had")
        if season["exact"] and cost > found + EXACT * abs(found) + 0.05:
            wrong.append(f"season {n}: is said to be the best there is at {cost:.2f}, but {found:.2f} can be had")
        own_step = math.floor((worst + 1e-7) / season["step"])
        steps.append(own_step - step)
        # Of the cane, what the proposal keeps less than could be kept.
        over.append(max(0.0, (cost - bound) / max(bound, 0.01 * sum(p["kg"] for p in season["patches"]))))
        cane = sum(p["kg"] for p in season["patches"])
        kept.append(max(0.0, (cost - bound) / (cane - bound)))
        gaps.append((cost - season["bound"]) / sum(p["kg"] for p in season["patches"]))
        if over[-1] > WORST_OVER or steps[-1] > 0:
            print(
                f"season {n}: {len(season['patches'])} plantings, {len(season['days'])} days: costs {cost:.1f} kg, the least is "
                f"{bound:.1f} to {found:.1f}; keeps {kept[-1]:.2%} less; worst-off {worst:.3f}, step {own_step}, best {step}",
                flush=True,
            )
    over.sort()
    kept.sort()
    print(
        f"{len(seasons)} seasons: dearer than the optimum or its bound by {statistics.median(over):.2%} at the median, "
        f"{over[-1]:.2%} at worst ({sum(o > WORST_OVER for o in over)} over {WORST_OVER:.0%}); "
        f"keeps {statistics.median(kept):.2%} less than the most that could be kept at the median, {kept[-1]:.2%} at worst; worst-off member "
        f"{max(steps)} steps over at worst ({sum(s > 0 for s in steps)} times); "
        f"told to be at most {statistics.median(gaps):.2%} of the cane from the best at the median, {max(gaps):.2%} at worst"
    )
    for line in wrong:
        print(line)
    bad = wrong or statistics.median(kept) > MEDIAN_OVER or kept[-1] > WORST_OVER or max(steps) > 1
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
