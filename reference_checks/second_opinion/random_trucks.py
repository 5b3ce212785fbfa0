"""Random plans whose concrete comes by trucks, seeded like `random_plans`."""

import random

from opinion import FEET, line_width, number, pairs
from random_plans import feet, random_plan


def truck_plan(which):
    """Plan number `which`: wall, ties and mix as in `random_plans`, the delivery by trucks.

    Three in four have a mix that is known and ties for which the rate decides.
    """
    plan = random_plan(which)
    rng = random.Random(f"trucks {which}")
    pick, wall = rng.choice, plan["wall"]
    if rng.random() < 0.75:
        plan["concrete"] = {
            "temperature": f"{rng.randrange(40, 101)} F", "slump": "5 in",
            "mix": {"cement": "I", "retarder": rng.random() < 0.3, "fly_ash": "0 %", "slag": "0 %"},
            "vibration": {"kind": "internal", "depth": "3 ft"},
        }  # fmt: skip
        ties, top = plan["ties"], number(wall["height"], FEET)
        start = number(wall["placed_from"], FEET) if "placed_from" in wall else 0.0
        rows = sorted(y for t in ties["heights"] if start < (y := number(t, FEET)) < top)
        cuts = [start, *((a + b) / 2 for a, b in pairs(rows)), top]
        part = max(b - a for a, b in pairs(cuts))
        ties["load"] = f"{round(rng.uniform(600, 1800) * part * line_width(ties))} lb"
        ties["basis"] = "working load at 2:1"
    delivery = {"method": "pump from base"} if rng.random() < 0.03 else {"method": "chute"}
    plan["delivery"] = delivery
    if rng.random() < 0.15:
        delivery["fastest_rise"] = f"{rng.randrange(1, 12)} ft/h"
    delivery["thickness"] = pick(("8 in", "10 in", "12 in", "18 in", "2 ft"))
    delivery["truck"] = f"{pick((4, 8, 9, 10, 10, 10, 12))} yd"
    delivery["gap"] = f"{pick((0, 5, 12, 15, 20, 20, 20, 25, 30, 37.5, 45, 60, 90, 150))} min"
    delivery["discharge"] = f"{pick((3, 5, 8, 10, 10, 12.5, 15, 20, 30))} min"
    delivery["spread"] = f"{pick((15, 20, 30, 40, 60, 100, 160, 400, 400))} ft"
    if rng.random() < 0.6:
        delivery["layer"] = pick(("12 in", "18 in", "2 ft", "30 in", "3 ft", "4 ft"))
    if rng.random() < 0.2:
        delivery["at_once"] = pick((1, 2, 2, 3))
    if rng.random() < 0.3:
        delivery["sequence"] = pick(("run by run", "round in layers"))
    if rng.random() < 0.15:
        delivery["rate_window"] = pick(("60 min", "45 min", "30 min"))
    if rng.random() < 0.15:
        delivery["liquid_window"] = pick(("30 min", "20 min"))
    if rng.random() < 0.35:
        delivery["length"] = f"{rng.randrange(10, 300)} ft"
    else:
        delivery["runs"] = [random_run(rng, n, wall) for n in range(rng.randrange(1, 5))]
    return plan


def random_run(rng, n, wall):
    """One run; some end low, some have another thickness, some have a door or a window."""
    run = {"name": f"run {n}", "length": f"{rng.randrange(16, 160)} ft"}
    if rng.random() < 0.2:
        run["thickness"] = rng.choice(("8 in", "12 in", "16 in"))
    if rng.random() < 0.2 and "placed_from" not in wall:
        run["height"] = feet(rng, rng.randrange(18, 31))
    if rng.random() < 0.4:
        sill = rng.choice((0, 0, 6, 12, 30))
        width = rng.choice(("2 ft", "3 ft", "40 in"))
        head = sill + rng.randrange(10, 90)
        run["openings"] = [{"sill": f"{sill} in", "head": f"{head} in", "width": width}]
    return run
