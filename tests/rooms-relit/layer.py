"""A sitter as flat maps of equal size: what all makers of sitters hand on."""
from dataclasses import dataclass

import numpy as np

MAPS = ('albedo', 'normal', 'height', 'alpha', 'head', 'spec', 'gloss', 'skin')
FAR = -9999  # height where there is nothing


@dataclass
class Layer:
    albedo: np.ndarray  # (rows, columns, 3) linear
    normal: np.ndarray  # (rows, columns, 3) right, down, to the camera; unit length
    height: np.ndarray  # (rows, columns) px towards the camera, FAR outside
    alpha: np.ndarray  # (rows, columns) 0..1
    head: np.ndarray  # (rows, columns) 0..1: what of it is head
    spec: np.ndarray  # (rows, columns) strength of its shine
    gloss: np.ndarray  # (rows, columns) exponent of its shine
    skin: np.ndarray  # (rows, columns) 0..1: where light creeps round edges
    ellipse: tuple  # of the head: centre x, y, half width, half height, px
    note: str
    tone: float  # 0 light skin .. 1 dark skin
