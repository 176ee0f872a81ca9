"""The local page: only this machine's own page may ask, nothing of a client's touches the disk, work can be stopped."""

import json
import re
import sys
import threading
import zipfile
from io import BytesIO
from pathlib import Path

import pytest

from foldsketch.job.messages import NO_DXF
from foldsketch.web.app import make_app
from foldsketch.web.messages import MESH_OUT_OF_TIME, MESH_UNITS, OUT_OF_TIME, STOPPED
from foldsketch.web.request_guard import MAX_BODY_BYTES
from foldsketch.web.tasks import run_task
from foldsketch.web.worker import Worker, WorkerPool

sys.path.insert(0, str(Path(__file__).parent))
from asgi import Client
from workers import LONG, WatchedWorker

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "samples"
COVER = (SAMPLES / "bilge-pump-cover.toml").read_text("utf-8")


class Direct(WorkerPool):
    """Tasks done at once, in this process."""

    def run(self, tab, task):
        return run_task(task)


def told(made):
    """What came back, read."""
    return json.loads(made["json"])


@pytest.fixture
def client():
    return Client(make_app(8737, SAMPLES, Direct()), "127.0.0.1:8737")


def test_page_and_files(client):
    page = client.get("/")
    assert page.status_code == 200
    assert "script-src 'self'" in page.headers["content-security-policy"]
    for name in re.findall(r'"(/files/[^"]+)"', page.text):
        assert client.get(name).status_code == 200
    assert len(client.get("/samples").json()) >= 8


@pytest.mark.parametrize(
    "path", ["/files/../app.py", "/files/%2e%2e/app.py", "/files/app.py", "/etc/passwd", "/files/"]
)
def test_no_other_file(client, path):
    assert client.get(path).status_code == 404


@pytest.mark.parametrize("host", ["evil.example:8737", "127.0.0.1:1", "", "127.0.0.1:8737.evil.example"])
def test_other_hosts_are_refused(client, host):
    assert client.get("/", headers={"host": host}).status_code == 403


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "https://127.0.0.1:8737", "http://127.0.0.1:1"])
def test_other_origins_are_refused(client, origin):
    assert client.post("/make", content="{}", headers={"origin": origin}).status_code == 403
    assert client.post("/cancel", headers={"origin": origin}).status_code == 403


def test_a_form_from_elsewhere_is_refused(client):
    assert client.post("/make", content="{}", headers={"sec-fetch-site": "cross-site"}).status_code == 403


def test_bodies_are_bounded(client):
    assert client.post("/make", content=b"x", headers={"content-length": str(MAX_BODY_BYTES + 1)}).status_code == 413
    assert client.post("/make", content=b"x", headers={"content-length": "lots"}).status_code == 413

    def endless():
        for _ in range(MAX_BODY_BYTES // 1_000_000 + 2):
            yield b"x" * 1_000_000

    assert client.post("/make", content=endless()).status_code == 413


@pytest.mark.parametrize(
    "body", ["", "[", "[]", "7", "\x00", "[" * 100_000, '{"text": [[1]]}', '{"text": ' + "[" * 300 + "]" * 300 + "}"]
)
def test_nonsense_is_answered(client, body):
    got = client.post("/make", content=body)
    assert got.status_code == 400
    assert got.json()["findings"]


@pytest.mark.parametrize(
    "task",
    [
        {"text": 7},
        {"text": ""},
        {"text": "name = <script>"},
        {"text": COVER, "paper": "../../etc"},
        {"text": COVER, "scale": "1e9"},
        {"text": COVER, "sides": 1e9},
        {"text": COVER, "sides": "many", "paper": {"a": 1}},
    ],
)
def test_bad_tasks_end_in_findings(client, task):
    got = client.post("/make", content=json.dumps(task))
    assert got.status_code == 200
    assert any(f["level"] == "error" and f["text"] for f in got.json()["findings"])


def packed(client, what):
    content = client.post(f"/download/{what}", content=json.dumps({"text": COVER, "which": "sheets"})).content
    with zipfile.ZipFile(BytesIO(content)) as z:
        return {name: z.read(name) for name in z.namelist()}


def test_without_ezdxf_it_says_so(client, monkeypatch):
    monkeypatch.setattr("foldsketch.write.dxf.find_spec", lambda name: None)
    assert client.get("/able").json() == {"dxf": False}
    got = client.post("/download/sheets-dxf.zip", content=json.dumps({"text": COVER}))
    assert got.status_code == 422 and got.json()["findings"][0]["code"] == NO_DXF.code
    assert not any(name.endswith(".dxf") for name in packed(client, "all.zip"))


def test_choices_reach_the_model(client):
    """More minutes make more panels, rolled walls are told apart, card changes the nets, nonsense is refused."""

    def made(**choices):
        return client.post("/make", content=json.dumps({"text": COVER, **choices})).json()

    plain = made()
    assert made(minutes="all")["facts"]["panels"] > plain["facts"]["panels"]
    assert any(p["rolled"] for piece in made(walls="rolled")["facts"]["pieces"] for p in piece["panels"])
    thick = made(card="0.5mm")
    assert thick["facts"]["pieces"] != plain["facts"]["pieces"], "half a millimetre of card changes the nets"
    text = made(card="a plank")["findings"][0]["text"]
    assert text.startswith("card: ") and "--" not in text, "named as the page's control is"


def test_a_large_model_comes_as_a_still_picture(client, monkeypatch):
    monkeypatch.setattr("foldsketch.web.share.MAX_ANIMATED_PANELS", 20)
    facts = client.post("/make", content=json.dumps({"text": COVER})).json()["facts"]
    assert facts["pieces"] == [] and facts["picture"].startswith("data:image/png")


@pytest.mark.slow
def test_make_and_download(client):
    got = client.post("/make", content=json.dumps({"text": COVER})).json()
    assert got["facts"]["checked"]
    task = {"text": COVER, "which": "sheets"}
    pages = client.post("/pages", content=json.dumps(task)).json()["pages"]
    assert len(pages) == got["sheets"]
    assert pages[0].lstrip().startswith("<")
    talk = client.post("/pages", content=json.dumps({**task, "which": "talk"})).json()["pages"]
    assert len(talk) == 5, "an overview and four set-ups"
    assert len(client.post("/pages", content=json.dumps({**task, "which": "booklet"})).json()["pages"]) > 1
    assert len(client.post("/setups", content=json.dumps(task)).json()["setups"]) == 4
    backs = client.post("/pages", content=json.dumps({**task, "backs": True})).json()["pages"]
    assert len(backs) == 2 * len(pages)
    names = set(packed(client, "all.zip"))
    assert {"sheets.pdf", "set-ups.pdf", "booklet.pdf", "model.net.json", "model.html", "part.toml"} <= names
    assert {"sheet-1.svg", "sheet-1.dxf"} <= names
    assert set(packed(client, "sheets-svg.zip")) == {f"sheet-{k + 1}.svg" for k in range(len(pages))}
    assert packed(client, "sheets-dxf.zip")["sheet-1.dxf"].lstrip().startswith(b"0")
    assert client.post("/download/passwd", content="{}").status_code == 404
    assert client.post("/download/sheets.pdf", content=json.dumps({"text": "x ="})).status_code == 422


def test_a_mesh_becomes_a_part_file(client):
    data = (SAMPLES / "ballast-pump-crank.stl").read_bytes()
    got = client.post("/read?ending=.stl&units=mm", content=data).json()
    assert "[[feature]]" in got["text"]
    unsaid = client.post("/read?ending=.stl", content=data).json()
    assert "text" not in unsaid and unsaid["findings"][0]["code"] == MESH_UNITS.code
    for ending in (".exe", "/../../x.stl", ""):
        assert "text" not in client.post("/read", params={"ending": ending}, content=data).json()


@pytest.mark.slow
def test_a_step_file_becomes_a_part_file_and_needs_no_unit(client):
    pytest.importorskip("cascadio")
    data = (SAMPLES / "bilge-pump-cover-cast.step").read_bytes()
    got = client.post("/read?ending=.step", content=data).json()
    assert "diameter = 90\n" in got["text"] and "Read from STEP" in got["text"]
    cut = client.post("/read?ending=.step", content=data[:5000]).json()
    assert "text" not in cut and [f["code"] for f in cut["findings"]] == ["cad-cut-short"]


def test_long_work_is_stopped():
    worker = Worker(seconds=0.05)
    got = worker.run({"do": "make", "text": COVER})
    assert told(got)["findings"][0]["code"] == OUT_OF_TIME.code
    got = worker.run({"do": "read", "data": b"solid", "ending": ".stl", "units": "mm"})
    assert told(got)["findings"][0]["code"] == MESH_OUT_OF_TIME.code, "advice about meshes, not about sides"
    patient = WatchedWorker(seconds=120)
    asked, answers = patient.started(LONG)
    patient.stop()
    asked.join(60)
    assert told(answers[0])["findings"][0]["code"] == STOPPED.code
    assert "facts" in told(patient.run({"do": "make", "text": COVER})), "the next task finds a new process"
    patient.stop()


def test_how_far_a_task_is():
    worker = WatchedWorker()
    data = (SAMPLES / "bilge-pump-cover-cast.stl").read_bytes()
    got = worker.run({"do": "read", "data": data, "ending": ".stl", "units": "mm"})
    assert "text" in told(got)
    assert worker.stages and all(s["stage"] and 0 <= s["done"] <= 1 for s in worker.stages)
    worker.stop()


def test_tabs_do_not_mix():
    pool = WorkerPool(max_workers=2, seconds=60)
    task = {"do": "make", "text": COVER}
    began = threading.Thread(target=pool.run, args=("one", task))
    began.start()
    assert "facts" in told(pool.run("two", task))
    pool.stop("two")
    began.join(60)
    assert "facts" in told(pool.run("one", task)), "one tab's stop leaves the other's work"
    pool.stop("one")


@pytest.mark.slow
def test_jaw_drawings_and_paper_chucks_come_along():
    """Those of the commands, alone and in the zip of everything; where there are none the page says so."""
    text = (SAMPLES / "eccentric-shaft.toml").read_text("utf-8")

    def names(what, **more):
        made = run_task({"do": "download", "what": what, "text": text, **more})
        return set(zipfile.ZipFile(BytesIO(made["data"])).namelist()) if "data" in made else made["json"]

    jaws, chucks, everything = (names(f"{w}.zip") for w in ("jaws", "in-hand", "all"))
    assert any(n.startswith("jaws-") and n.endswith(".pdf") for n in jaws)
    assert {"in-hand.pdf", "stands.pdf"} <= chucks and any(n.startswith("chuck-") for n in chucks)
    assert jaws | chucks <= everything
    assert b"no-setups" in names("jaws.zip", machine="none")
