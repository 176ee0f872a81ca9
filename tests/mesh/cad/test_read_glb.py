"""The kernel's answer: nodes stand where glTF 2.0 says, judged by the reader of a general mesh library."""

import io
import json

import numpy as np
import pytest
import trimesh

from foldsketch.mesh.cad.read_glb import read_glb

MM = 1000.0
HALF = 0.5**0.5
PLACES = {
    "as it is": {},
    "moved": {"translation": [0.3, -0.1, 0.02]},
    "turned": {"rotation": [0.0, 0.0, HALF, HALF], "translation": [0.1, 0.0, 0.0]},
    "turned askew": {"rotation": [0.5, -0.5, 0.5, 0.5]},
    "mirrored": {"scale": [-1.0, 1.0, 1.0], "translation": [0.0, 0.2, 0.0]},
    "matrix": {"matrix": [0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 0.1, 0.2, 0.3, 1]},
}


def glb(place: dict[str, object], nested: bool = False) -> bytes:
    """A box of 0.02 by 0.03 by 0.05 m with its corner at the origin, in a node with a place of its own."""
    box = trimesh.creation.box(bounds=[[0, 0, 0], [0.02, 0.03, 0.05]])
    data = trimesh.Scene(box).export(file_type="glb")
    size = int.from_bytes(data[12:16], "little")
    tree = json.loads(data[20 : 20 + size])
    tree["nodes"] = [{"mesh": 0, "name": "box", **place}]
    if nested:
        tree["nodes"] += [{"children": [0], "translation": [0.0, 0.0, 1.0]}]
    tree["scenes"] = [{"nodes": [len(tree["nodes"]) - 1]}]
    text = json.dumps(tree).encode()
    text += b" " * (-len(text) % 4)
    rest = data[20 + size :]
    head = data[:8] + (20 + len(text) + len(rest)).to_bytes(4, "little") + len(text).to_bytes(4, "little") + b"JSON"
    return head + text + rest


@pytest.mark.parametrize("nested", [False, True])
@pytest.mark.parametrize("place", PLACES)
def test_a_solid_stands_where_its_node_says(place: str, nested: bool) -> None:
    data = glb(PLACES[place], nested)
    (solid,), _ = read_glb("a.step", "step", data)
    outside = trimesh.load(io.BytesIO(data), file_type="glb").to_mesh()
    made = trimesh.Trimesh(solid.corners, solid.triangles)
    assert np.allclose(made.bounds, MM * outside.bounds, atol=1e-4)
    assert made.volume == pytest.approx(20 * 30 * 50, rel=1e-5)  # outside stays outside when it is mirrored


def test_a_node_twice_in_the_tree_does_not_go_on_for_ever() -> None:
    data = glb({"children": [0]})
    solids, _ = read_glb("a.step", "step", data)
    assert 1 <= len(solids) <= 2
