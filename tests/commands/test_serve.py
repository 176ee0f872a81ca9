"""serve: a wrong port is refused before anything listens. The page itself has its tests in tests/web."""

import socket
import sys

import pytest


@pytest.mark.parametrize("port", ["0", "65536", "-1"])
def test_a_port_out_of_range(run, port):
    done = run("serve", "--no-browser", "--port", port)
    assert done.code == 2 and "out of range" in done.err


def test_a_port_in_use(run):
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        done = run("serve", "--no-browser", "--port", str(other.getsockname()[1]))
    assert done.code == 2 and "in use" in done.err


def test_without_its_packages_it_says_what_to_install(run, monkeypatch):
    monkeypatch.setitem(sys.modules, "uvicorn", None)
    done = run("serve", "--no-browser")
    assert done.code == 2 and "pip install -e '.[web]'" in done.err


@pytest.mark.parametrize("browser", [True, False])
def test_it_serves_on_this_machine_alone_and_ends_with_ctrl_c(run, monkeypatch, browser):
    """The server is asked to run on a socket that listens on 127.0.0.1, and the browser is sent to it."""
    import uvicorn

    seen, opened = [], []

    def serve(self, sockets):
        seen.append(sockets[0].getsockname())
        raise KeyboardInterrupt

    monkeypatch.setattr(uvicorn.Server, "run", serve)
    monkeypatch.setattr("webbrowser.open", opened.append)
    monkeypatch.setattr("threading.Thread.start", lambda thread: thread.run())
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    done = run("serve", "--port", str(port), *([] if browser else ["--no-browser"]))
    assert (done.code, seen) == (0, [("127.0.0.1", port)])
    assert f"http://127.0.0.1:{port}/" in done.out
    assert opened == ([f"http://127.0.0.1:{port}/"] if browser else [])
