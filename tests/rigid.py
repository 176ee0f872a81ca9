"""Flexes: in how many ways a glued model can give, its panels stiff and its folds and glued edges hinges.

A panel moves by a velocity v and a spin w; both panels at a hinge give its two ends the same velocity v + w x p
[textbook kinematics of rigid bodies]. What is left beside the six motions of the whole is a flex.
"""

import numpy as np


def flexes(nets, block, glued=lambda joint: not joint.bare):
    """Independent flexes of a block; what it stands on with an open foot is one stiff body more.

    glued: of the edges without a tab, those that count as hinges: by default the ones to be taped.
    """
    own = [p for p in nets.pieces if p.block == block]
    number = {key: k for k, key in enumerate((p.id, q.id) for p in own for q in p.panels)}
    held = [(p, t) for p in own for t in [*p.tabs, *(b for b in p.butts if glued(b))]]
    if any((t.meets.piece, t.meets.panel) not in number for _, t in held):
        number["what it stands on"] = len(number)
    rows = []

    def hinge(a, b, panel, line):
        for end in line:
            x, y, z = panel.to_space[:, :2] @ np.array(end) + panel.origin
            row = np.zeros((3, 6 * len(number)))
            for k, sign in ((a, 1), (b, -1)):
                row[:, 6 * k : 6 * k + 3] = sign * np.eye(3)
                row[:, 6 * k + 3 : 6 * k + 6] = sign * np.array([[0, z, -y], [-z, 0, x], [y, -x, 0]]) / 20
            rows.append(row)

    for p in own:
        for f in p.folds:
            one, two = f.panels
            hinge(number[p.id, one], number[p.id, two], p.panel(one), f.line)
    for p, t in held:
        other = number.get((t.meets.piece, t.meets.panel), len(number) - 1)
        hinge(number[p.id, t.panel], other, p.panel(t.panel), t.line)
    matrix = np.concatenate(rows) if rows else np.zeros((1, 6 * len(number)))
    return 6 * len(number) - np.linalg.matrix_rank(matrix, tol=1e-9 * np.linalg.norm(matrix, 2)) - 6
