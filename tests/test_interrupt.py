"""Ctrl-C waits for the end of an import, and stays Ctrl-C when a library makes an error of it."""

import importlib
import signal
import sys
import time

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

    def run():
        with defer_interrupt_during_import():
            assert importlib.import_module("met_by_ctrl_c").whole
            for _ in range(500):
                time.sleep(0.01)

    with pytest.raises(KeyboardInterrupt):
        run()
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
