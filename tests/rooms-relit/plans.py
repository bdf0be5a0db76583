"""What happens in each frame of a room."""
from dataclasses import dataclass, field

import numpy as np

from leaks import wanted_leak
from trail_paths import CROSSINGS, KINDS


@dataclass
class Plan:
    trail: str = None  # its kind
    off: list = field(default_factory=list)  # ids of the lamps that don't fire
    set: dict = field(default_factory=dict)  # id -> stops by which a lamp is set wrong
    leak: dict = None
    dim: bool = False  # a trail that is hardly brighter than the room
    pops: bool = False  # every lamp fires twice
    clean: bool = False  # the trail keeps clear of the head
    cross: bool = False  # the trail crosses the head


class Planner:
    def __init__(self, rng, ids):
        self.rng, self.ids = rng, ids

    def plan(self, **given):
        any_trail = str(self.rng.choice(KINDS))  # drawn even if one is given, so that giving one changes nothing else
        return Plan(**{'trail': any_trail, **given})

    def one(self):
        return str(self.rng.choice(self.ids))

    def crossing(self):
        return str(self.rng.choice(CROSSINGS))

    def wrong(self):
        """Stops that a lamp is set wrong by."""
        rng = self.rng
        return float(np.round(rng.choice([rng.uniform(-2, -0.5), rng.uniform(0.5, 1.5)]), 2))

    def always(self):
        """What every room has."""
        return [self.plan(trail='loop', clean=True), self.plan(off=[self.one()]),
                self.plan(set={self.one(): self.wrong()}), self.plan(trail=self.crossing(), cross=True),
                self.plan(trail=None), self.plan(leak=wanted_leak(self.rng)),
                self.plan(leak=wanted_leak(self.rng), **self.beside_leak())]

    def beside_leak(self):
        choices = [{'off': [self.one()]}, {'trail': None}, {'off': list(self.ids)},
                   {'trail': None, 'off': [self.one()]}]
        return choices[self.rng.integers(len(choices))]

    def sometimes(self):
        """Makers of plans of which a room has a few."""
        return [lambda: self.plan(trail=self.crossing(), dim=True), lambda: self.plan(off=list(self.ids)),
                lambda: self.plan(pops=True), lambda: self.plan(trail='behind'),
                lambda: self.plan(trail='scribble-over', cross=True), lambda: self.plan(trail=None, off=[self.one()]),
                lambda: self.plan(set={i: self.wrong() for i in self.ids}), lambda: self.plan(),
                lambda: self.plan(trail=str(self.rng.choice(['arch', 'high', 'radial', 'heart', 'star']))),
                lambda: self.plan(trail=None, set={self.one(): self.wrong()}),
                lambda: self.plan(trail='halo-tilted')]


def plan_frames(rng, ids):
    """Eight to ten plans in any order, for lamps of those ids."""
    planner = Planner(rng, ids)
    plans = planner.always()
    makers = planner.sometimes()
    for i in rng.choice(len(makers), int(rng.integers(1, 4)), replace=False):
        plans.append(makers[i]())
    rng.shuffle(plans)
    return plans
