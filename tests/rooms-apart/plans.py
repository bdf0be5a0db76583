"""What happens in each frame of a room."""

ODD = ['high', 'arch', 'aside', 'dashed', 'two', 'ten', 'behind', 'spiral', 'beside', 'crown', 'rays', 'eight']


def plan_frames(ids, number, rng):
    """For each frame: its trail's kind, which flashes are off, whose power is how far off (EV), from where it leaks."""
    def trail(kinds):
        return kinds[rng.integers(len(kinds))]

    rings = ['loop', 'loop', 'two', 'spiral', 'ten', 'arch']
    misset = float(rng.choice([-2, -1.5, -1, -0.6, 0.5, 0.9, 1.3]))
    odd = [ODD[(2 * number + i) % len(ODD)] for i in range(2)]
    sides = [['left', 'right', 'top', 'bottom'][(number + i) % 4] for i in range(2)]
    b = ids[int(rng.integers(1, len(ids)))]
    frames = [
        {'trail': 'loop'},
        {'trail': trail(rings + ODD), 'off': ['A']},
        {'trail': trail(rings + ['cross']), 'off': [b]},
        {'trail': trail(rings), 'off': ids} if number % 2 else {'trail': None, 'off': ids if number % 4 == 0 else []},
        {'trail': trail(rings + ['behind']), 'set': {('A' if rng.random() < 0.5 else b): misset}},
        {'trail': 'cross'},
        {'trail': odd[0]},
        {'trail': odd[1], 'set': {'A': float(rng.uniform(-0.8, 0.8))} if rng.random() < 0.4 else {}},
        {'trail': trail(rings + [None, None]), 'leak': sides[0], 'off': [b] if rng.random() < 0.3 else []},
    ]
    if number % 3 == 0:
        frames.append({'trail': trail(['cross', 'loop']), 'leak': sides[1]})
    if number % 3 == 1:
        frames.append({'trail': None, 'set': {b: float(rng.uniform(-1.5, 1.2))}})
    return frames
