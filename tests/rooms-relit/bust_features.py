"""What a modelled bust looks like, left to chance: everything about its shape."""
from dataclasses import dataclass

import numpy as np

from light import F
from solids import turn

HAIRS = ['short', 'bob', 'long', 'bun', 'curly', 'bald', 'crop', 'short', 'curly', 'bob']
HATS = ['none', 'none', 'none', 'beanie', 'brim', 'cap']
COLLARS = ['round', 'hood', 'shirt', 'v']


@dataclass
class Features:
    """Lengths are in half head heights; 1 is an ordinary face for what is only called wide or long."""
    yaw: float  # degrees the head looks aside
    head_turn: np.ndarray  # (3, 3)
    body_turn: np.ndarray  # (3, 3)
    hair: str
    hat: str
    glasses: bool
    beard: bool
    jaw: float  # how wide
    nose: float  # how long
    eye: float  # each eye from the middle line
    wide: float  # the whole head
    shoulder: float  # each shoulder from the middle line
    shoulder_y: float  # below the head's centre
    mouth: float  # half its width
    smile: float  # how far its corners rise
    collar: str
    curl: np.ndarray  # (6,) phases of hair and folds


def draw_features(rng, fixed):
    """Features left to chance but for those in the dict fixed."""
    # what is fixed is drawn too, so that fixing one leaves the others as they are
    yaw = fixed.get('yaw', rng.uniform(-36, 36))
    pitch, roll = rng.uniform(-9, 9), rng.uniform(-7, 7)
    body_share = rng.uniform(0.1, 0.9)
    hair = fixed.get('hair', rng.choice(HAIRS))
    hat = fixed.get('hat', rng.choice(HATS))
    glasses = fixed.get('glasses', rng.random() < 0.35)
    beard = fixed.get('beard', rng.random() < 0.3)
    # keyword arguments are evaluated, and so drawn, in the order they stand in
    return Features(yaw=yaw, head_turn=turn(yaw, pitch, roll).astype(F),
                    body_turn=turn(yaw * body_share, 0, 0).astype(F), hair=hair, hat=hat, glasses=glasses, beard=beard,
                    jaw=rng.uniform(0.9, 1.1), nose=rng.uniform(0.85, 1.25), eye=rng.uniform(0.24, 0.29),
                    wide=rng.uniform(0.92, 1.12), shoulder=rng.uniform(1.35, 1.75), shoulder_y=rng.uniform(1.48, 1.72),
                    mouth=rng.uniform(0.16, 0.24), smile=rng.uniform(-0.02, 0.05), collar=rng.choice(COLLARS),
                    curl=rng.uniform(0, 50, 6))
