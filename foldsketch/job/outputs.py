"""The files of a model: sheets, net file, picture and what is asked for beside them; all are written, or none."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from glob import escape
from pathlib import Path
from typing import TYPE_CHECKING

from foldsketch.assembly.work_time import DEFAULT_PACE, Pace, measure_work, work_minutes
from foldsketch.base.files import write_all_atomically
from foldsketch.base.findings import Finding, FoldsketchError, listed
from foldsketch.base.progress import Listener, ignore_progress
from foldsketch.job.messages import NO_DXF

if TYPE_CHECKING:
    from foldsketch.base.drawing import Drawing
    from foldsketch.job.model import Model


def write_model(
    made: Model,
    out: Path | str,
    stem: str,
    listener: Listener = ignore_progress,
    backs: bool = False,
    more: Mapping[str, bytes] | None = None,
) -> list[Path]:
    """Write the sheets (PDF, and one SVG a page), the net file and a picture of the folded model.

    All files are written, or none; numbered pages of a longer run before are removed.

    Parameters
    ----------
    made : Model
        From `model`.
    out : str or Path
        The folder; it is made when it does not exist.
    stem : str
        The files' names without ending, such as ``"cover"``.
    listener : callable, optional
        Called with the name of a stage and a share from 0 to 1.
    backs : bool, optional
        Print the back of every sheet too, behind its front.
    more : mapping of str to bytes, optional
        Further files to write with them, by name.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    FoldsketchError
        When a file cannot be written.

    Examples
    --------
    >>> import foldsketch, tempfile
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     written = foldsketch.write_model(foldsketch.model(part), folder, "shaft")
    >>> [path.name for path in written]
    ['shaft.pdf', 'shaft-1.svg', 'shaft.net.json', 'shaft.png']
    """
    from foldsketch.job.preview import preview_png
    from foldsketch.write.net_json import net_json
    from foldsketch.write.pdf import pdf
    from foldsketch.write.svg import svg

    pages = sheet_pages(made, backs)
    files: dict[str, bytes] = {f"{stem}.pdf": pdf(pages, made.part.name)}
    sides = 2 if backs else 1
    for k, page in enumerate(pages):
        behind = "-back" if k % sides else ""
        files[f"{stem}-{k // sides + 1}{behind}.svg"] = svg(page)
        listener("write", (k + 1) / len(pages))
    files[f"{stem}.net.json"] = net_json(made.nets, made.sheets)
    files[f"{stem}.png"] = preview_png(made.part, made.faceted, made.solids, made.nets.scale, made.nets)
    files |= more or {}
    folder = Path(out)
    write_all_atomically({folder / name: data for name, data in files.items()})
    for stale in _stale_files(folder, stem, files):
        with suppress(OSError):
            stale.unlink(missing_ok=True)
    return [folder / name for name in files]


def sheet_pages(made: Model, backs: bool = False) -> tuple[Drawing, ...]:
    """The sheets as they are printed; backs: each followed by its back."""
    if backs:
        from foldsketch.sheet.page.backs import draw_duplex

        return draw_duplex(made.nets, made.sheets)
    from foldsketch.sheet.page.draw import draw_sheets

    return draw_sheets(made.nets, made.sheets)


def booklet_pages(made: Model, pace: Pace = DEFAULT_PACE) -> tuple[Drawing, ...]:
    """The pages of the booklet: how the model is built, step by step; pace: the builder's working speed."""
    from foldsketch.sheet.booklet.first_page_text import WorkEstimate
    from foldsketch.sheet.booklet.pages import draw_booklet

    work = measure_work(made.nets)
    amount = WorkEstimate(work_minutes(work, pace), work.cut, work.folds, work.hold_text, pace.qualifier)
    names = [f.name for f in made.drawn]
    missing = [f"Drawn on the faces and not built: {listed(names)}."] if names else []
    return draw_booklet(made.nets, made.sheets, amount, missing)


def booklet(made: Model, pace: Pace = DEFAULT_PACE) -> bytes:
    """How a model is built, step by step, as PDF.

    Parameters
    ----------
    made : Model
        From `model`.
    pace : Pace, optional
        Your working speed, seconds, for the minutes on the first page.

    Returns
    -------
    bytes
        The PDF file.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> foldsketch.booklet(foldsketch.model(part))[:4]
    b'%PDF'
    """
    from foldsketch.write.pdf import pdf

    return pdf(booklet_pages(made, pace), f"{made.part.name}, booklet")


def by_hand_page(
    made: Model, scale: float | None = None, pace: Pace = DEFAULT_PACE
) -> tuple[Drawing, tuple[Finding, ...]]:
    """The page from which the model is built of blank paper, and what is left out or changed there.

    On Letter if the sheets are, else on A4. scale: paper over part; None takes full size, or the largest standard scale
    that the paper has room for. Raises FoldsketchError where it cannot be built by hand.
    """
    from foldsketch.job.ladder import full_size
    from foldsketch.sheet.by_hand.page import draw_by_hand
    from foldsketch.sheet.by_hand.plan import plan_by_hand
    from foldsketch.sheet.layout.paper import STANDARD_SCALES, parse_paper
    from foldsketch.sheet.messages import BY_HAND_TOO_LARGE

    paper = parse_paper("Letter" if made.paper.name.startswith("Letter") else "A4")
    largest = full_size(made.part)
    scales = [scale] if scale else [s for s in STANDARD_SCALES if s <= largest]
    for s in scales:
        try:
            plan = plan_by_hand(made.part, made.drawn, s, paper, pace)
            break
        except FoldsketchError as error:
            if error.findings[0].code != BY_HAND_TOO_LARGE.code or s == scales[-1]:
                raise
    return draw_by_hand(plan, paper), plan.findings


def by_hand_files(page: Drawing) -> dict[str, bytes]:
    """The by-hand page as PDF and SVG, by ending."""
    from foldsketch.write.pdf import pdf
    from foldsketch.write.svg import svg

    return {"by-hand.pdf": pdf([page], page.title), "by-hand.svg": svg(page)}


def require_dxf(where: str = "--dxf") -> None:
    """Raise FoldsketchError when ezdxf is not installed. where: what asks for it."""
    from foldsketch.write.dxf import dxf_available

    if not dxf_available():
        raise NO_DXF.error(where)


def dxf_pages(made: Model) -> list[bytes]:
    """The sheets as DXF, one a page. Raises FoldsketchError without the extra `dxf`."""
    from foldsketch.sheet.page.draw import draw_sheets
    from foldsketch.write.dxf import dxf

    require_dxf()
    return [dxf(page) for page in draw_sheets(made.nets, made.sheets, thumbnails=False)]


def piece_svgs(made: Model) -> dict[str, bytes]:
    """Every net alone on a page of its own size, as SVG: number to the file's bytes."""
    from foldsketch.sheet.page.draw import draw_piece
    from foldsketch.write.svg import svg

    turn = {placed.piece: placed.angle for sheet in made.sheets for placed in sheet.placed}
    return {p.id: svg(draw_piece(p, made.nets.part, turn[p.id])) for p in made.nets.pieces}


NUMBERED_FILE_PATTERNS = tuple(
    re.compile(p, re.ASCII) for p in (r"[1-9]\d{0,2}(-back)?\.svg", r"[1-9]\d{0,2}\.dxf", r"net-\d+\.svg")
)
"""What follows the stem and a hyphen in the names of numbered files: pages, pages as DXF, nets."""


def _stale_files(out: Path, stem: str, written: Iterable[str]) -> list[Path]:
    """Numbered files of an earlier, longer run: of a series that is written now, with a number that is not."""
    names = frozenset(written)
    now = {_file_series(name, stem) for name in names} - {None}
    found = [p for p in out.glob(f"{escape(stem)}-*") if _file_series(p.name, stem) in now]
    return [p for p in found if p.name not in names and p.is_file()]


def _file_series(name: str, stem: str) -> re.Pattern[str] | None:
    rest = name.removeprefix(f"{stem}-")
    return next((s for s in NUMBERED_FILE_PATTERNS if s.fullmatch(rest)), None)
