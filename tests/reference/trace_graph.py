"""Follows cane from loads to lots again, with a graph library, on the seasons that `cargo test` wrote.

    python trace_graph.py SEASONS.json        needs: networkx

The graph: load -> ticket -> lot. Every lot that can be reached from a load must be named as holding it, and no
other; backwards the same. A stream is the ticket's solids in that lot times the load's part of the ticket's
weight: exact as a fraction, to less than a gram; the streams into a lot sum to what was poured, to the gram.
"""

import collections
import json
import sys
from fractions import Fraction

import networkx as nx


def check(season, n):
    graph = nx.DiGraph()
    weight = {}
    for ticket, number, net in season["loads"]:
        if net > 0:
            weight[ticket, number] = net
            graph.add_edge(("load", ticket, number), ("ticket", ticket))
    into = collections.Counter()
    for ticket, lot, solids in season["poured"]:
        if solids > 0:
            into[ticket, lot] += solids
            graph.add_edge(("ticket", ticket), ("lot", lot))
    ours = collections.defaultdict(dict)
    lots = collections.Counter()
    for ticket, number, lot, solids in season["streams"]:
        assert (ticket, number) not in ours[lot], f"season {n}: a stream is told twice"
        ours[lot][ticket, number] = solids
        lots[lot] += solids
    poured = collections.Counter()
    for (ticket, lot), solids in into.items():
        poured[lot] += solids
    assert lots == poured, f"season {n}: {lots} is not {poured}"
    farthest = Fraction(0)
    for (kind, *name) in list(graph.nodes):
        if kind == "lot":
            back = {(t, k) for (what, t, *k) in nx.ancestors(graph, ("lot", name[0])) if what == "load" for k in k}
            told = {key for key in ours[name[0]] if key[1] is not None}
            assert back == told, f"season {n}, lot {name[0]}: {back ^ told}"
        elif kind == "load":
            ahead = {lot for (what, lot, *_) in nx.descendants(graph, ("load", *name)) if what == "lot"}
            told = {lot for lot, of in ours.items() if tuple(name) in of}
            assert ahead == told, f"season {n}, load {name}: {ahead ^ told}"
            whole = sum(w for (t, _), w in weight.items() if t == name[0])
            for lot in ahead:
                exact = Fraction(into[name[0], lot] * weight[tuple(name)], whole)
                off = abs(exact - ours[lot][tuple(name)])
                assert off < 1, f"season {n}: {float(off)} g off"
                farthest = max(farthest, off)
    return len(season["streams"]), farthest


def main(path):
    with open(path, encoding="utf-8") as file:
        seasons = json.load(file)
    found = [check(season, n) for n, season in enumerate(seasons)]
    streams = sum(n for n, _ in found)
    assert streams > 1000, "too little to follow"
    print(f"{len(seasons)} seasons, {streams} streams the same; farthest {float(max(f for _, f in found)):.3f} g from its fraction")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
