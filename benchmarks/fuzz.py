"""Coverage-guided fuzzing of all that reads what others wrote: every answer is a result or clear findings.

Needs atheris (Apache-2.0), which is no dependency: pip install atheris

python benchmarks/fuzz.py all 360 /tmp/fuzz        # seconds of CPU a target, a folder for what is found
python benchmarks/fuzz.py part-toml 60 /tmp/fuzz   # one target
"""

from __future__ import annotations

import contextlib
import json
import os
import random
import re
import resource
import subprocess
import sys
import tempfile
import time
import traceback
import warnings
from collections.abc import Callable
from pathlib import Path
from zlib import crc32

ROOT = Path(__file__).parents[1]
SAMPLES = ROOT / "samples"
MESHES = ("stl", "ply", "obj", "off", "3mf", "glb")
TARGETS = ("part-toml", "part-json", "machine", *MESHES, "page")
SECONDS = 5.0
MEMORY = 3 * 1024**3
sys.path[:0] = [str(ROOT / "tests"), str(ROOT / "tests" / "web"), str(ROOT / "tests" / "mesh")]

Check = Callable[[bytes], None]


def seeds(target: str) -> list[bytes]:
    """What the fuzzer begins with: the samples, small sound meshes, and the files that the tests refuse."""
    parts = [p.read_bytes() for p in sorted((*SAMPLES.glob("*.toml"), *SAMPLES.glob("lessons/*.toml")))]
    if target == "part-toml":
        return parts
    if target == "part-json":
        import tomllib

        return [json.dumps(tomllib.loads(p.decode())).encode() for p in parts]
    if target == "machine":
        return [p.read_bytes() for p in sorted(SAMPLES.glob("machines/*.toml"))]
    if target == "page":
        few = [p for p in parts if len(p) < 1200]
        found = [bytes([k % 3, k, 3 * k]) + p for k, p in enumerate(few)]
        found += [bytes([3, k, 0]) + seeds(kind)[0] for k, kind in enumerate(MESHES)]
        return [*found, bytes([4, 0, 0]) + b'{"text": "name = 1", "scale": "1:2", "sides": 8, "paper": "A4"}']
    import trimesh
    from test_refusals import EVERY, loads

    boxes = [
        trimesh.creation.box((10, 20, 30)),
        trimesh.creation.cylinder(10, 20, sections=8),
        trimesh.creation.annulus(5, 10, 20, sections=6),
    ]
    good = [loads.threemf()] if target == "3mf" else [b.export(file_type=target) for b in boxes]
    if target == "stl":
        good.append(boxes[0].export(file_type="stl_ascii"))
    if target == "ply":
        good.append(boxes[0].export(file_type="ply", encoding="ascii"))
    bad = [data for name, data in EVERY.values() if name.endswith(f".{target}")]
    return [g.encode() if isinstance(g, str) else g for g in good] + bad


def check_of(target: str) -> Check:
    """The function that is tried: it returns, or raises FoldsketchError; anything else is a find."""
    from foldsketch.base.findings import FoldsketchError

    if target in ("part-toml", "part-json"):
        from foldsketch.part.check import check_part
        from foldsketch.part.file.read import parse_part
        from foldsketch.part.file.write import part_to_toml

        kind = target.partition("-")[2]

        def part(data: bytes) -> None:
            made, _ = parse_part(data.decode("utf-8", "surrogatepass"), kind, "a part")  # type: ignore[arg-type]
            check_part(made)
            again, _ = parse_part(part_to_toml(made), "toml", "written")
            if len(again.features) != len(made.features) or again.name != made.name:
                raise RuntimeError("what was written reads differently")

        return part
    if target == "machine":
        from foldsketch.setup.machine_file.read import parse_machine

        return lambda data: parse_machine(data.decode("utf-8", "surrogatepass"), "toml", "a machine") and None
    if target == "page":
        return _page()
    from foldsketch.mesh.features.recognise import recognise_mesh
    from foldsketch.mesh.files.load import load_mesh
    from foldsketch.mesh.repair.clean import clean_mesh

    folder = Path(tempfile.mkdtemp())

    def mesh(data: bytes) -> None:
        path = folder / f"mesh.{target}"
        path.write_bytes(data)
        try:
            # The whole reading is slow, so only one file in eight goes through it; all are loaded and cleaned.
            if crc32(data) % 8:
                clean_mesh(load_mesh(path), 1.0)
            else:
                recognise_mesh(path, "mm", False, None, lambda stage, done: None)
        except FoldsketchError as why:
            if len(why.findings) > 20 or any("\n" in str(f) for f in why.findings):
                raise RuntimeError("findings are not short lines") from why
            raise

    return mesh


def _page() -> Check:
    """The page's application, asked in this process: a make, a download or the pages of a part, a mesh, raw JSON."""
    from asgi import Client

    from foldsketch.web.app import make_app
    from foldsketch.web.tasks import run_task
    from foldsketch.web.worker import Worker

    class Direct(Worker):
        def run(self, task: dict) -> dict:  # type: ignore[type-arg]
            return run_task(task)

    client = Client(make_app(1, None, Direct()), "127.0.0.1:1")

    def page(data: bytes) -> None:
        route, one, two = (*data[:3], 0, 0, 0)[:3]
        rest = data[3:]
        body: bytes | str = rest
        if route % 5 == 3:
            path = f"/read?ending=.{MESHES[one % 6]}&units={('mm', 'in', '', 'x')[two % 4]}"
        elif route % 5 == 4:
            path = ("/make", "/pages", "/download/all.zip", "/cancel")[one % 4]
        else:
            path = ("/make", "/pages", "/download/sheets.pdf")[route % 3]
            task = {
                "text": rest.decode("utf-8", "replace"),
                "scale": ("auto", "1:5", "1:10", "0", "x")[one % 5],
                "sides": (6, 4, None, 0, -1, 1e9)[two % 6],
                "paper": ("A4", "A3", "8x10in", "1x1")[one // 5 % 4],
                "join": ("faces", "fuse")[two // 6 % 2],
            }
            body = json.dumps(task)
        got = client.post(path, body)
        if got.status_code not in (200, 400, 404, 413, 422):
            raise RuntimeError(f"status {got.status_code}")

    return page


WORDS = (
    *[
        "-1",
        "0",
        "1",
        "1e-9",
        "1e308",
        "-1e308",
        "inf",
        "nan",
        "9223372036854775808",
        "0x10",
        "1_000",
        "true",
        "[]",
        "{}",
        "''",
        "1979-05-27",
    ],
    *[
        "[0,0,1]",
        "[0,0,0]",
        "0.1",
        "12.5",
        "1e5",
        "[[feature]]",
        "[[axis]]",
        "[feature]",
        "=",
        ".",
        ",",
        "#",
        "ü",
        "轴",
    ],
    *('"\\ud800"', '"\\u0000"', "\n", "\t", "\\", "\u202e"),
)


def mutated(data: bytes, most: int, r: random.Random) -> bytes:
    """Text with a token, a line or a number changed: what bytes alone seldom reach."""
    text = data.decode("utf-8", "replace")
    tokens = re.split(r"(\s+|[=\[\]{},:\"])", text)
    for _ in range(r.randint(1, 4)):
        k = r.randrange(len(tokens))
        match r.randrange(5):
            case 0:
                tokens[k] = r.choice(WORDS)
            case 1:
                del tokens[k : k + r.randint(1, 12)]
            case 2:
                tokens[k:k] = tokens[(j := r.randrange(len(tokens))) : j + r.randint(1, 40)]
            case 3:
                numbers = [j for j, t in enumerate(tokens) if re.fullmatch(r"[-+.\d]+", t)]
                if numbers:
                    j = r.choice(numbers)
                    with contextlib.suppress(ValueError):
                        value = float(tokens[j])
                        tokens[j] = f"{r.choice([-value, value * 10, value / 10, value + 1, value - 1, 0]):g}"
            case _:
                tokens[k] = tokens[r.randrange(len(tokens))]
        if not tokens:
            tokens = [""]
    return "".join(tokens).encode("utf-8", "replace")[:most]


def run(target: str, seconds: int, folder: Path) -> None:
    """Fuzz one target; what it finds is put into folder/target."""
    import atheris

    warnings.simplefilter("ignore")
    own = folder / target
    (own / "corpus").mkdir(parents=True, exist_ok=True)
    for k, seed in enumerate(seeds(target)):
        (own / "corpus" / f"seed-{k}").write_bytes(seed[:8000])
    include = ["foldsketch", "tomllib", "json.decoder", "trimesh.exchange"]
    with atheris.instrument_imports(include=include, enable_loader_override=False):
        check = check_of(target)
        for module in ("foldsketch.mesh.features.recognise", "foldsketch.job.pipeline", "foldsketch.setup.plan.plan"):
            if target in (*MESHES, "page"):
                __import__(module)
    from foldsketch.base.findings import FoldsketchError

    resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
    seen: dict[str, int] = {}
    count = {"runs": 0, "refused": 0}
    end = time.process_time() + seconds

    def found(kind: str, data: bytes, told: str) -> None:
        if kind not in seen:
            number = len(seen)
            (own / f"found-{number}.bin").write_bytes(data)
            (own / f"found-{number}.txt").write_text(told, "utf-8", "replace")
        seen[kind] = seen.get(kind, 0) + 1

    def one(data: bytes) -> None:
        count["runs"] += 1
        begun = time.process_time()
        try:
            check(data)
        except FoldsketchError:
            count["refused"] += 1
        except UnicodeDecodeError as why:
            # load() decodes before the parser sees anything; only ours may not raise it
            if not why.__traceback__ or why.__traceback__.tb_next is None or "fuzz.py" not in _where(why):
                found(_where(why), data, traceback.format_exc())
        except BaseException as why:
            found(_where(why), data, traceback.format_exc())
        spent = time.process_time() - begun
        if spent > SECONDS:
            found("slow", data, f"{spent:.1f} s of CPU")
        if time.process_time() > end:
            told = {"target": target, **count, "found": seen}
            (own / "result.json").write_text(json.dumps(told, indent=1))
            print(json.dumps(told), flush=True)
            os._exit(0)

    def mutator(data: bytes, most: int, seed: int) -> bytes:
        r = random.Random(seed)
        if r.random() < 0.5:
            return atheris.Mutate(data, most)  # type: ignore[no-any-return]
        head = data[:3] if target == "page" else b""
        return (head + mutated(data[len(head) :], max(1, most - 3), r))[:most]

    textual = target in ("part-toml", "part-json", "machine", "page", "obj", "off")
    options = ["fuzz", str(own / "corpus"), "-timeout=120", "-rss_limit_mb=0", "-max_len=8000", "-verbosity=0"]
    options += [f"-artifact_prefix={own}/", "-seed=1"]
    atheris.Setup(options, one, **({"custom_mutator": mutator} if textual else {}))
    atheris.Fuzz()


def _where(why: BaseException) -> str:
    """A find's own place: the error's kind and the innermost line of ours."""
    frames = traceback.extract_tb(why.__traceback__)
    ours = [f for f in frames if "foldsketch" in f.filename] or list(frames)
    return f"{type(why).__name__} at {Path(ours[-1].filename).name}:{ours[-1].lineno}"


def main(target: str, seconds: int, folder: Path) -> int:
    if target != "all":
        run(target, seconds, folder)
        return 0
    bad = 0
    for name in TARGETS:
        done = subprocess.run(
            [sys.executable, __file__, name, str(seconds), str(folder)],
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        print(done.stdout.decode().strip() or f"{name}: stopped with code {done.returncode}", flush=True)
        bad += done.returncode != 0 or b'"found": {}' not in done.stdout
    return 1 if bad else 0


if __name__ == "__main__":
    words = [*sys.argv[1:], *("all", "360", "/tmp/fuzz")[len(sys.argv) - 1 :]]
    raise SystemExit(main(words[0], int(words[1]), Path(words[2])))
