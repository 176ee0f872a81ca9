"""The command setups, as its users and their scripts meet it."""

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
COVER = ROOT / "samples" / "bilge-pump-cover.toml"


def run(*arguments):
    return subprocess.run(
        [sys.executable, "-m", "foldsketch.cli", "setups", *map(str, arguments)],
        capture_output=True,
        text=True,
        timeout=60,
    )


def test_table_and_talk_sheet(tmp_path):
    done = run(COVER, "--out", tmp_path)
    assert done.returncode == 0, done.stderr
    assert "first estimates" in done.stdout.lower()
    assert (tmp_path / "bilge-pump-cover-setups.pdf").read_bytes().startswith(b"%PDF")


def test_json_is_all_there_is_on_standard_output(tmp_path):
    done = run(COVER, "--json", "--out", tmp_path)
    assert done.returncode == 0
    made = json.loads(done.stdout)
    assert made["format"] == "foldsketch-setups 1"
    assert made["cautions"]
    assert not list(tmp_path.iterdir())


def test_explain(tmp_path):
    done = run(COVER, "--explain", "--out", tmp_path, "--machine", ROOT / "samples/machines/single-spindle.toml")
    assert done.returncode == 0
    assert "1.5 e + (sqrt(D^2 - 3 e^2) - D)/2" in done.stdout
    assert "by hand" in done.stdout


def test_faults_are_one_clear_line(tmp_path):
    bad = tmp_path / "m.toml"
    bad.write_text('name = "m"\n')
    for arguments in ((COVER, "--machine", bad), (COVER, "--machine", tmp_path / "none.toml"), (tmp_path / "no.toml",)):
        done = run(*arguments)
        assert done.returncode == 2
        assert done.stderr.startswith("error: ")
        assert "Traceback" not in done.stderr


def test_gauge(tmp_path):
    done = run(COVER, "--gauge", "--scale", "1:2", "--out", tmp_path)
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "bilge-pump-cover-gauge.pdf").read_bytes().startswith(b"%PDF")
    bad = run(COVER, "--gauge", "--scale", "1:0", "--out", tmp_path / "none")
    assert bad.returncode == 2
    assert not (tmp_path / "none").exists()
