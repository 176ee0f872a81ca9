"""make is killed at random moments while it writes over an older run: no file may ever be half, and none lost.

python benchmarks/kills.py 200        # kills
"""

from __future__ import annotations

import json
import random
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[1]
OLD, NEW = ROOT / "samples" / "eccentric-shaft.toml", ROOT / "samples" / "bilge-pump-cover.toml"


def whole(path: Path) -> bool:
    """Whether a file of the run is complete."""
    data = path.read_bytes()
    match path.suffix:
        case ".pdf":
            return data.startswith(b"%PDF") and data.rstrip().endswith(b"%%EOF")
        case ".svg":
            return data.rstrip().endswith(b"</svg>")
        case ".json":
            json.loads(data)
            return True
        case ".png":
            return data.endswith(b"IEND\xaeB`\x82")
    return False


def main(count: int) -> int:
    r = random.Random(1)
    half = lost = left = finished = 0
    with tempfile.TemporaryDirectory() as folder:
        part = Path(folder) / "part.toml"
        out = Path(folder) / "out"
        command = [sys.executable, "-m", "foldsketch.cli", "make", str(part), "--out", str(out)]
        part.write_bytes(NEW.read_bytes())
        start = time.monotonic()
        subprocess.run(command, check=True, capture_output=True)
        long = time.monotonic() - start
        expected = {p.name for p in out.iterdir()}
        for k in range(count):
            # In turn two parts, so that what is written differs from what stands there.
            part.write_bytes((OLD if k % 2 else NEW).read_bytes())
            run = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
            try:
                run.wait(r.uniform(0.3, 1.05) * long)
                finished += 1
            except subprocess.TimeoutExpired:
                run.kill()
                run.wait()
            names = {p.name for p in out.iterdir()}
            always = {n for n in expected if not n.startswith("part-")}
            lost += len(always - names)
            for p in out.iterdir():
                if p.suffix in (".pdf", ".svg", ".json", ".png") and not p.name.startswith("."):
                    half += not whole(p)
                else:
                    left += 1
                    p.unlink()
    print(
        f"{count} runs, {count - finished} killed: {half} half files, {lost} lost, {left} temporary files left behind"
    )
    return 1 if half or lost else 0


if __name__ == "__main__":
    raise SystemExit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 200))
