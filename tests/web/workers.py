"""A worker that says when it is at work, and a task that keeps one at work for long."""

import threading
from pathlib import Path

from foldsketch.web.worker import Worker

COVER = (Path(__file__).parents[2] / "samples" / "bilge-pump-cover.toml").read_text("utf-8")
DISC = '[[feature]]\nname = "disc {0}"\naxis = "A"\nshape = "cylinder"\ndiameter = {1}\nstart = {0}\nend = {2}\n'
STACK = "".join(DISC.format(k, 60 + 20 * (k % 2), k + 1) for k in range(60))
LONG = {"do": "make", "text": f'name = "stack"\nunits = "mm"\n[[axis]]\nname = "A"\nat = [0, 0]\n{STACK}', "sides": 96}
"""Sixty discs on each other: half a minute's work, whose first stage is told at once."""


class WatchedWorker(Worker):
    """at_work is set when the first stage of a task is told; stages has all that were."""

    def __init__(self, *words, **named):
        self.at_work, self.stages = threading.Event(), []
        super().__init__(*words, **named)

    def __setattr__(self, name, value):
        super().__setattr__(name, value)
        if name == "stage" and value:
            self.stages.append(value)
            self.at_work.set()

    def started(self, task):
        """A task begun in a thread of its own, and the list in which its answer will be."""
        answers = []
        asked = threading.Thread(target=lambda: answers.append(self.run(task)))
        asked.start()
        assert self.at_work.wait(60)
        return asked, answers
