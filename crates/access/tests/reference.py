"""Solves way-in questions with a general solver and compares with the planner's answers.

Reads the JSON lines of `cargo run --example ways -- questions ...` from standard input. The solver
is HiGHS (https://highs.dev, Python package highspy). It is given the question as an integer linear
programme and nothing of the planner's:

- x[r] = 1 when removal r is used, z[s] = 1 when setup s is, o[p] = 1 when part p comes out;
- a part is out exactly when one of its removals is used: sum of x over the part = o;
- a removal used has its needs out and its setups there: x <= o, x <= z;
- every target has a way (w) whose parts are out: sum of w = 1, w <= o;
- an order, so that parts cannot free each other in a circle: u[need] + 1 <= u[part] + n (1 - x).

Least sum of costs, relative gap 0. Prints one JSON line per question with its seconds inside the
solver, and ends with 1 if an optimum differs.
"""

import json
import sys
import time

import highspy

TOLERANCE = 1e-6  # relative; HiGHS proves its optimum within 1e-6 of feasibility


class Model:
    """Columns and rows for HiGHS, in the order they are added."""

    def __init__(self, time_limit_s):
        self.highs = highspy.Highs()
        self.highs.setOptionValue("output_flag", False)
        self.highs.setOptionValue("mip_rel_gap", 0.0)
        self.highs.setOptionValue("mip_abs_gap", 1e-6)
        self.highs.setOptionValue("threads", 1)
        self.highs.setOptionValue("time_limit", time_limit_s)
        self.columns = 0

    def column(self, cost, upper=1.0, whole=True):
        self.highs.addCol(cost, 0.0, upper, 0, [], [])
        if whole:
            self.highs.changeColIntegrality(self.columns, highspy.HighsVarType.kInteger)
        self.columns += 1
        return self.columns - 1

    def row(self, lower, upper, terms):
        columns, factors = zip(*terms)
        self.highs.addRow(lower, upper, len(terms), list(columns), list(factors))


def build(question, time_limit_s):
    model = Model(time_limit_s)
    parts, inf = question["parts"], highspy.kHighsInf
    removals = [removal for removal in question["removals"]]
    used = [model.column(cost) for _, _, _, cost in removals]
    there = [model.column(cost) for cost in question["setups"]]
    out = [model.column(0.0) for _ in range(parts)]
    order = [model.column(0.0, upper=float(parts), whole=False) for _ in range(parts)]
    for part in range(parts):
        own = [(used[r], 1.0) for r, removal in enumerate(removals) if removal[0] == part]
        model.row(0.0, 0.0, own + [(out[part], -1.0)])
    for r, (part, needs, setups, _) in enumerate(removals):
        for need in needs:
            model.row(-inf, 0.0, [(used[r], 1.0), (out[need], -1.0)])
            model.row(
                -inf,
                parts - 1.0,
                [(order[need], 1.0), (order[part], -1.0), (used[r], float(parts))],
            )
        for setup in setups:
            model.row(-inf, 0.0, [(used[r], 1.0), (there[setup], -1.0)])
    for ways in question["targets"]:
        opened = [model.column(0.0) for _ in ways]
        model.row(1.0, 1.0, [(way, 1.0) for way in opened])
        for way, needed in zip(opened, ways):
            for part in needed:
                model.row(-inf, 0.0, [(way, 1.0), (out[part], -1.0)])
    return model


def solve(question, time_limit_s):
    """The least cost, or None where there is no way; 'time' when the time ran out; and seconds."""
    model = build(question, time_limit_s)
    start = time.perf_counter()
    model.highs.run()
    seconds = time.perf_counter() - start
    status = model.highs.getModelStatus()
    if status == highspy.HighsModelStatus.kInfeasible:
        return None, seconds
    if status != highspy.HighsModelStatus.kOptimal:
        return "time", seconds
    return model.highs.getInfo().objective_function_value, seconds


def main():
    time_limit_s = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0
    differing = undecided = count = 0
    for line in sys.stdin:
        question = json.loads(line)
        least, seconds = solve(question, time_limit_s)
        ours = question["cost"]
        if least == "time":
            verdict = "undecided"
            undecided += 1
        elif least is None or ours is None:
            verdict = "same" if least == ours else "different"
        else:
            near = abs(least - ours) <= TOLERANCE * max(1.0, abs(least))
            verdict = "same" if near else "different"
        differing += verdict == "different"
        count += 1
        shown = {key: question[key] for key in ("kind", "parts", "seed", "ms")}
        print(json.dumps(shown | {"highs_ms": seconds * 1e3, "verdict": verdict,
                                  "ours": ours, "highs": least}), flush=True)
    print(f"{count} questions, {differing} different, {undecided} undecided", file=sys.stderr)
    sys.exit(1 if differing or undecided or not count else 0)


if __name__ == "__main__":
    main()
