"""Homes of two open academic generators, a fortnight of January each, as whole watts a minute. Runs in an environment of its own.

    PYTHON studies/peers.py richardsonpy|rampdemand HOMES DAYS SEED OUT [APPLIANCES]

It has `numpy` and that generator. The first brings its own appliances, people and lamps; the second is given our appliances.
"""
from __future__ import annotations

import contextlib
import io
import json
import random
import sys
from pathlib import Path
from typing import Any

import numpy as np

PEOPLE = ((1, 0.30), (2, 0.34), (3, 0.16), (4, 0.13), (5, 0.07))        # homes of so many, from memory


def of_richardsonpy(homes: int, days: int, seed: int) -> Any:
    """Day by day as its own yearly run makes them, but only the first days of its year."""
    from richardsonpy.classes import appliance, electric_load, lighting, occupancy, stochastic_el_load_wrapper
    from richardsonpy.functions import change_resolution, load_radiation
    sun = [change_resolution.change_resolution(each, old_res=3600, new_res=60) for each in load_radiation.get_rad_from_try_path()]
    light, inputs = np.asarray(sun[0]) + np.asarray(sun[1]), Path(appliance.__file__).parents[1] / "inputs"
    out = []
    for number in range(homes):
        random.seed(seed * 100_003 + number)
        np.random.seed((seed * 100_003 + number) % 2**32)
        people = random.choices([n for n, _ in PEOPLE], [share for _, share in PEOPLE])[0]
        up = occupancy.Occupancy(number_occupants=people, nb_days=days).occupancy
        kwh = electric_load.ElectricLoad.standard_consumption["SFH"][people]
        owned = appliance.Appliances(str(inputs / "Appliances.csv"), annual_consumption=0.91 * kwh, randomize_appliances=True)
        lamps = lighting.load_lighting_profile(filename=str(inputs / "LightBulbs.csv"), index=number % 100)
        made = stochastic_el_load_wrapper.ElectricityProfile(owned, lamps)
        out.append(np.concatenate([
            made.power_sim(irradiation=light[1440 * day:1440 * day + 1440], weekend=(day + 1) % 7 in (0, 6), day=day,
                           occupancy=up[144 * day:144 * day + 144])[0] for day in range(days)]))
    return np.array(out)


def of_rampdemand(homes: int, days: int, seed: int, appliances: list[dict[str, Any]]) -> Any:
    from ramp import UseCase, User
    out = []
    for number in range(homes):
        random.seed(seed * 100_003 + number)
        np.random.seed((seed * 100_003 + number) % 2**32)
        case = UseCase(name="home", date_start="2020-01-06", date_end=f"2020-01-{5 + days:02d}")
        home = User("home", 1)
        case.add_user(home)
        for each in appliances:
            if random.random() < each["owned"]:
                home.add_appliance(name=each["name"], number=1, power=each["watts"], num_windows=1, window_1=each["window"],
                                   func_time=max(1, round(each["minutes"] * each["starts"])), func_cycle=each["minutes"],
                                   time_fraction_random_variability=0.3, random_var_w=0.2)
        made = np.asarray(case.generate_daily_load_profiles()).reshape(-1)[:days * 1440]
        out.append(made + each["base_w"])
    return np.array(out)


if __name__ == "__main__":
    which, homes_n, days_n, seed_n, to = sys.argv[1], *map(int, sys.argv[2:5]), Path(sys.argv[5])
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        watts = of_richardsonpy(homes_n, days_n, seed_n) if which == "richardsonpy" else \
            of_rampdemand(homes_n, days_n, seed_n, json.loads(Path(sys.argv[6]).read_text("utf-8")))
    np.save(to, np.rint(np.clip(watts, 0, 65_535)).astype(np.uint16))
