"""What telling coarse rounds from flats reports."""

from foldsketch.base.findings import Message

FLATS_BESIDE_ROUNDS = Message(
    "flats-beside-fine-rounds",
    "warning",
    "{sides:flat}, {across} across flats, beside much finer rounds: taken as true flats, not as Ø{diameter}",
    "if it is round, export the mesh with a finer tolerance",
)
FLATS_ON_A_CIRCLE = Message(
    "flats-on-a-circle",
    "warning",
    "flats with their corners on Ø{diameter} are taken as true flats",
    "if it is round, export the mesh with a finer tolerance",
)
COARSE_ROUND = Message(
    "coarse-round",
    "warning",
    "Ø{diameter} has only {sides:side} in the mesh; it is taken as round",
    "export the mesh with a finer tolerance; if the flats are real, make it a prism in the part file",
)
