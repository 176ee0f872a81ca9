"""The messages of all floors: codes that are unique, wordings whose values are given wherever they are used."""

import ast
import re
from importlib import import_module
from pathlib import Path
from string import Formatter

import pytest

import foldsketch
from foldsketch.base.findings import LEVELS, Message

HOUSE = Path(foldsketch.__file__).parent
ROOT = HOUSE.parent


def dotted(path):
    return ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")


def messages():
    """Module and name of every message, to the message."""
    found = {}
    for path in sorted(HOUSE.rglob("*.py")):
        if "messages" in path.relative_to(HOUSE).with_suffix("").parts:
            module = import_module(dotted(path))
            own = {name: value for name, value in vars(module).items() if isinstance(value, Message)}
            found.update({(module.__name__, name): value for name, value in own.items()})
    return found


MESSAGES = messages()


def placeholders(message):
    return {name for text in (message.what, message.cure) for _, name, _, _ in Formatter().parse(text) if name}


def uses():
    """Place in the code, message and names of values of every `MESSAGE.at(...)` and `MESSAGE.error(...)`."""
    for path in sorted(HOUSE.rglob("*.py")):
        text = path.read_text("utf-8")
        if "messages" not in text:
            continue
        tree = ast.parse(text)
        modules, direct = {}, {}
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom) and node.module:
                for a in node.names:
                    modules[a.asname or a.name] = f"{node.module}.{a.name}"
                    direct[a.asname or a.name] = (node.module, a.name)
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call) or not isinstance(node.func, ast.Attribute):
                continue
            target = node.func.value
            key = direct.get(target.id) if isinstance(target, ast.Name) else None
            if isinstance(target, ast.Attribute) and isinstance(target.value, ast.Name):
                key = (modules.get(target.value.id), target.attr)
            if key in MESSAGES and node.func.attr in ("at", "error"):
                yield f"{path.relative_to(ROOT)}:{node.lineno}", MESSAGES[key], [k.arg for k in node.keywords]


def test_messages_are_found():
    assert len(MESSAGES) > 50
    assert {m.split(".")[1] for m, _ in MESSAGES} >= {"base", "part"}


def test_codes_are_unique():
    codes = sorted({id(m): m.code for m in MESSAGES.values()}.values())
    assert codes == sorted(set(codes))


@pytest.mark.parametrize(("place", "message"), MESSAGES.items(), ids=lambda v: v.code if isinstance(v, Message) else "")
def test_a_message_is_well_formed(place, message):
    assert re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", message.code)
    assert message.level in LEVELS
    assert message.what and not re.search(r"[.;]$", message.what + message.cure), "a finding is joined by semicolons"


def test_every_value_of_a_wording_is_given():
    """A value that is not given would only fail when the finding is shown."""
    found = list(uses())
    assert len(found) > 50
    for where, message, given in found:
        if None not in given:  # **values are not seen here
            assert placeholders(message) <= set(given), where


def test_every_message_is_used():
    users = [p for p in HOUSE.rglob("*.py") if "messages" not in p.relative_to(HOUSE).with_suffix("").parts]
    words = {word for p in users for word in re.findall(r"\w+", p.read_text("utf-8"))}
    unused = [name for _, name in MESSAGES if name not in words]
    assert not unused
