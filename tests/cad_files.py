"""STEP and IGES files drawn and written by the kernel in the gmsh wheel; nothing of foldsketch makes them."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"


def benchmark(name: str) -> ModuleType:
    """A module of benchmarks/, which are no package."""
    if name in sys.modules:
        return sys.modules[name]
    if str(BENCHMARKS) not in sys.path:
        sys.path.insert(0, str(BENCHMARKS))
    spec = importlib.util.spec_from_file_location(name, BENCHMARKS / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    sys.modules[name] = made
    spec.loader.exec_module(made)
    return made


def in_unit(step: bytes, unit: str) -> bytes:
    """A STEP file in mm with its numbers left as they are and its unit changed: "m", "in" or "none"."""
    mm = b"( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT(.MILLI.,.METRE.) )"
    assert step.count(mm) == 1
    if unit == "none":
        return step.replace(mm, b"( NAMED_UNIT(*) SI_UNIT($,.RADIAN.) PLANE_ANGLE_UNIT() )")
    if unit == "m":
        return step.replace(mm, b"( LENGTH_UNIT() NAMED_UNIT(*) SI_UNIT($,.METRE.) )")
    # an inch as ISO 10303-41 has it: so many mm, which are a length unit of their own
    inch = (
        b"( CONVERSION_BASED_UNIT('INCH',#90001) LENGTH_UNIT() NAMED_UNIT(#90003) );\n"
        b"#90001 = LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#90002);\n"
        b"#90002 = " + mm + b";\n#90003 = DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.)"
    )
    return step.replace(mm, inch)
