"""Texts of part files that several tests damage."""

GOOD = """\
name = "Cover"
units = "mm"
material = "Brass"

[[axis]]
name = "A"
at = [0, 0]

[[axis]]
name = "B"
offset = 14
angle = 90

[[axis]]
name = "C"
offset = 10
angle = 0
from = "B"

[[axis]]
name = "D"
point = [0, 0, 6]
direction = [2, 0, 0]

[[feature]]
name = "flange"
axis = "A"
shape = "cylinder"
diameter = 90
start = 0
length = 12

[[feature]]
name = "hole"
axis = "D"
shape = "cylinder"
diameter = 5
start = -50
end = 50
cut = true
"""
