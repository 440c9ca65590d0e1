"""Chances after drawn evidence by exact enumeration, for tests/posterior.rs.

    python -m venv venv && venv/bin/pip install numpy scipy
    UPDATE_EXPECT=1 cargo test --test pure posterior::; venv/bin/python tests/cases/posterior/make.py

Made with numpy and scipy from PyPI; their versions stand in the first line of the figures. Nothing here is taken over from
the program but the places, their wires and what is live when (facts.json) and the tables (likelihood.json).
"""

import json
import pathlib

import numpy
import scipy
import scipy.stats

here = pathlib.Path(__file__).parent
facts = json.loads((here / "facts.json").read_text())
tables = json.loads((here / "../../../assets/values/likelihood.json").read_text())
points = facts["points"]
MOTIONS = ["still", "smooth", "rough", "turning", "door_moved"]
HEATS = ["cold", "warm", "hot"]
SEEN = ["sound", "marked", "thinned", "bare", "severed", "not_seen"]
NAMES = ["heat", "movement", "vibration", "edges", "water", "disturbance"]

# Every wire at every point: the mutually exclusive hypotheses.
where, run, at, prior = [], [], [], []
for place, point in enumerate(points):
    kind = point["kind"]
    if kind == "zone_per_metre":
        weight = tables["base"]["zone_per_metre"] * point["metres"]
    elif kind == "plug":
        weight = tables["base"]["plug"]
    elif kind.startswith("mark:"):
        weight = tables["base"]["mark"] * tables["mark"][kind[5:]]
    else:
        weight = tables["base"]["passage"][kind]
    for name in NAMES:
        weight *= tables["exposure"][name][point["exposures"].get(name, 0)]
    metres = numpy.array([wire[2] for wire in point["wires"]])
    by_metres = kind == "zone_per_metre" and metres.sum() > 0
    share = metres / metres.sum() if by_metres else numpy.full(len(metres), 1 / len(metres))
    for wire, part in zip(point["wires"], share):
        where.append(place)
        run.append(wire[0])
        at.append(wire[1])
        prior.append(weight * part)
where, run, at = numpy.array(where), numpy.array(run), numpy.array(at)
SHARE = tables["not_listed"]["share"]
prior = numpy.array(prior) / numpy.sum(prior) * (1 - SHARE)


def of_points(value):
    return numpy.array([value(point) for point in points])[where]


def opens(state):
    live, near, far = numpy.array(facts["states"][state], dtype=float).T
    return live[run] * (near[run] + (far - near)[run] * at)


def provoked(state, motion, heat):
    table = tables["motion"][MOTIONS[motion]]
    moved = of_points(
        lambda point: table["movement"][point["exposures"].get("movement", 0)]
        * table["vibration"][point["exposures"].get("vibration", 0)]
        * table["hinged"][int(point["hinged"])]
    )
    warm = of_points(lambda point: tables["warmth"][HEATS[heat]][point["exposures"].get("heat", 0)])
    return opens(state) * moved * warm


def usual(factors):
    can = factors > 0
    return numpy.average(factors[can], weights=prior[can]) if can.any() else 1.0


class Draw:
    def __init__(self, seed):
        self.state = seed

    def below(self, most):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 33) % most


def pressed(opened, presses, true):
    table = tables["press"]
    chance = table["reproduces"] if true else table["by_chance"]
    none = scipy.stats.binom.pmf(0, min(presses, table["counted_most"]), chance)
    return 1 - none if opened else none


def posterior(seed):
    draw = Draw(seed)
    chance, elsewhere = prior.copy(), SHARE
    survived, survived_elsewhere, blows = numpy.zeros(len(prior)), 0.0, 0
    sound, worst, held = set(), {}, numpy.zeros(len(prior), dtype=int)
    for _ in range(1 + draw.below(9)):
        kind = draw.below(6)
        if kind == 0:
            state, motion, heat = draw.below(4), draw.below(5), draw.below(3)
            factors = provoked(state, motion, heat)
            blows += 1
            chance *= factors
            elsewhere *= usual(factors)
        elif kind == 1:
            state, motion, heat = draw.below(4), draw.below(5), draw.below(3)
            minutes = draw.below(400) / 4
            factors = provoked(state, motion, heat)
            survived += factors * minutes
            survived_elsewhere += (prior @ factors) / (1 - SHARE) * minutes
        elif kind == 2:
            plug, blew, state = draw.below(4), draw.below(3) == 0, draw.below(4)
            minutes = draw.below(400) / 8
            stays = numpy.array(facts["plugs"][plug], dtype=float)[run]
            if blew:
                chance *= stays
            else:
                factors = opens(state) * stays
                survived += factors * minutes
                survived_elsewhere += (prior @ factors) / (1 - SHARE) * minutes
        elif kind in (3, 4):
            place, seen = draw.below(len(points)), draw.below(6)
            if SEEN[seen] == "sound":
                sound.add(place)
            elif SEEN[seen] != "not_seen":
                worst[place] = max(worst.get(place, 0), seen)
        else:
            place = draw.below(len(points))
            opened, presses = draw.below(4) == 0, 1 + draw.below(14)
            state = draw.below(4)
            live = numpy.array([wire[0] for wire in facts["states"][state]], dtype=bool)[run]
            if opened:
                factor = pressed(True, presses, True) / pressed(True, presses, False)
                chance = numpy.where((where == place) & live, chance * factor, chance)
            else:
                held += numpy.where((where == place) & live, presses, 0)
    if blows == 0:
        # Nobody says what was on: everything was, or nothing.
        factors = opens(3)
        chance *= factors
        elsewhere *= usual(factors)
    # No opening in that time: the first term of a negative binomial distribution.
    rate = tables["rate"]
    silent = lambda minutes: scipy.stats.nbinom.pmf(0, rate["shape"] + max(blows, 1), rate["minutes"] / (rate["minutes"] + minutes))
    chance *= silent(survived)
    elsewhere *= silent(survived_elsewhere)
    for place in sound:
        chance = numpy.where(where == place, chance * (1 - points[place]["detect"]), chance)
    bare = [place for place, seen in worst.items() if SEEN[seen] in ("bare", "severed")]
    for place, seen in worst.items():
        chance = numpy.where(where == place, chance * tables["seen"][SEEN[seen]], chance)
    wires = [{wire[0] for wire in point["wires"]} for point in points]
    for place, point in enumerate(points):
        close = [1.0]
        for other in bare:
            factor = tables["second"]["same_part"] if point["zone"] == points[other]["zone"] else 1.0
            factor *= tables["second"]["same_wire"] if wires[place] & wires[other] else 1.0
            factor *= tables["second"]["same_edge"] if set(point["contacts"]) & set(points[other]["contacts"]) else 1.0
            close.append(factor)
        if place not in bare:
            chance = numpy.where(where == place, chance * max(close), chance)
    chance *= numpy.array([pressed(False, int(n), True) / pressed(False, int(n), False) for n in held])
    total = chance.sum() + elsewhere
    return numpy.bincount(where, chance, len(points)) / total, elsewhere / total


if __name__ == "__main__":
    lines = [f"seed,not_listed,linear,squares  (numpy {numpy.__version__}; scipy {scipy.__version__})"]
    for seed in range(2400):
        chances, elsewhere = posterior(seed)
        linear = chances @ numpy.arange(1, len(points) + 1)
        lines.append(f"{seed},{elsewhere:.17g},{linear:.17g},{chances @ chances:.17g}")
    (here / "numpy.csv").write_text("\n".join(lines) + "\n")
