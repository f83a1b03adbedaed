"""Least cuts by networkx beside the answers of the search for the cheapest set of openings.

Reads the JSON lines of `cargo run -p dead --example cuts` from standard input. Each question becomes a
flow network of its own: every conductor an arc (two, where it conducts both ways) with its cost as
capacity, one node before all sources and one behind all points of the area, both joined without limit.
The value of a minimum cut is the least cost (Ford and Fulkerson 1956). Prints one JSON line per question
and ends with 1 if a cost differs.
"""

import json
import sys

import networkx

TOLERANCE = 1e-9


def least_cut(question):
    graph = networkx.DiGraph()
    graph.add_nodes_from(["source", "area"])

    def arc(a, b, capacity):
        if a == b:
            return
        known = graph.edges[a, b]["capacity"] if graph.has_edge(a, b) else 0.0
        graph.add_edge(a, b, capacity=known + capacity)

    for a, b, one_way, cost in question["ways"]:
        arc(a, b, cost)
        if not one_way:
            arc(b, a, cost)
    # Without a capacity an arc of networkx has no limit.
    for start in set(question["starts"]):
        graph.add_edge("source", start)
    for point in set(question["area"]):
        graph.add_edge(point, "area")
    return networkx.minimum_cut_value(graph, "source", "area")


def main():
    different = 0
    for line in sys.stdin:
        question = json.loads(line)
        least = least_cut(question)
        same = (
            question["cost"] is not None
            and not question["stuck"]
            and question["proved"]
            and abs(question["cost"] - least) <= TOLERANCE * max(1.0, least)
        )
        different += not same
        verdict = "same" if same else "different"
        print(json.dumps({"seed": question["seed"], "cost": question["cost"], "least": least, "verdict": verdict}))
    return 1 if different else 0


if __name__ == "__main__":
    sys.exit(main())
