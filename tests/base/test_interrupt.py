"""Ctrl-C waits for the end of an import, and stays Ctrl-C when a library makes an error of it."""

import importlib
import signal
import socket
import sys

import pytest

from foldsketch.base.interrupt import defer_interrupt_during_import


@pytest.fixture(autouse=True)
def usual():
    """The handler that a terminal's Python has; pytest's own, or none in the background, comes back."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    yield
    assert signal.getsignal(signal.SIGINT) is signal.default_int_handler
    signal.signal(signal.SIGINT, before)


def ctrl_c():
    signal.raise_signal(signal.SIGINT)


def test_it_comes_at_once_outside_of_imports():
    reached = []

    def run():
        with defer_interrupt_during_import():
            ctrl_c()
            reached.append("the line after it")

    with pytest.raises(KeyboardInterrupt):
        run()
    assert not reached


def test_it_comes_after_the_import_that_it_met(tmp_path, monkeypatch):
    (tmp_path / "met_by_ctrl_c.py").write_text(
        "import signal\nsignal.raise_signal(signal.SIGINT)\nwhole = True\n", encoding="utf-8"
    )
    monkeypatch.syspath_prepend(tmp_path)

    heard, hears = socket.socketpair()
    hears.setblocking(False)
    heard.settimeout(60)

    def run():
        with defer_interrupt_during_import():
            assert importlib.import_module("met_by_ctrl_c").whole
            signal.set_wakeup_fd(hears.fileno())
            heard.recv(1)  # until the signal comes again; Python calls its handler next

    with heard, hears:
        try:
            with pytest.raises(KeyboardInterrupt):
                run()
        finally:
            signal.set_wakeup_fd(-1)
    assert sys.modules.pop("met_by_ctrl_c").whole


def test_an_error_that_a_library_makes_of_it_is_ctrl_c_still():
    def run():
        with defer_interrupt_during_import():
            try:
                ctrl_c()
            except BaseException:
                raise ValueError("cannot open the font") from None

    with pytest.raises(KeyboardInterrupt):
        run()


def test_any_other_error_stays_what_it_is():
    with pytest.raises(ValueError, match="own"), defer_interrupt_during_import():
        raise ValueError("own")


def test_whoever_has_a_handler_keeps_it():
    seen = []
    signal.signal(signal.SIGINT, lambda number, frame: seen.append(number))
    with defer_interrupt_during_import():
        ctrl_c()
    assert seen == [signal.SIGINT]
    signal.signal(signal.SIGINT, signal.default_int_handler)
