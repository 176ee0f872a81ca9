"""The model of a part that is built within the minutes that there are."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from foldsketch.assembly.work_time import measure_work, work_minutes
from foldsketch.base.findings import Finding
from foldsketch.base.progress import Deadline, Listener, ignore_progress
from foldsketch.base.units import format_count
from foldsketch.job.choices import Choices
from foldsketch.job.ladder import MIN_END_FACE_MM, Ladder, full_size
from foldsketch.job.messages import DRAWN, OVER_BUDGET, SMALLER, TAPED
from foldsketch.job.model import Model
from foldsketch.job.pipeline import check_before_making, finish_model, first_fitting_model, scales_for_part
from foldsketch.part.model import Part
from foldsketch.sheet.layout.paper import parse_paper, scale_text
from foldsketch.solid.joining.blocks import join


def model(part: Part, choices: Choices | None = None, listener: Listener = ignore_progress) -> Model:
    """Make the checked paper model of a part, to be built within ``choices.minutes``.

    The model is the first step of a ladder that keeps to the minutes: everything; small holes, chamfers, grooves, ribs
    and pads drawn; bores drawn whose axis another feature shows; tabs only where neighbours do not hold; twelve sides
    at most; octagons; tape; hexagons; smaller scales. What you chose yourself stays. More minutes never give a poorer
    model.

    Parameters
    ----------
    part : Part
        From `read_part`, `read_mesh`, or built in code.
    choices : Choices, optional
        Minutes, paper, scale, sides, card and so on.
    listener : callable, optional
        Called with the name of a stage and a share from 0 to 1.

    Returns
    -------
    Model
        Nets and sheets, checked by folding the nets up again in the computer.

    Raises
    ------
    FoldsketchError
        When the part has errors, a net fits no page, or the nets do not fold back to the part.

    Examples
    --------
    >>> import foldsketch
    >>> part, _ = foldsketch.read_part("samples/eccentric-shaft.toml")
    >>> made = foldsketch.model(part, foldsketch.Choices(minutes=None, paper="A3", scale=0.5))
    >>> len(made.sheets), made.nets.scale
    (1, 0.5)
    """
    chosen = choices or Choices()
    paper = parse_paper(chosen.paper)
    findings = check_before_making(part, chosen)
    scales = [chosen.scale] if chosen.scale else scales_for_part(part, paper, chosen.sheets, full_size(part))
    at = partial(_model_at, part, chosen, listener)
    return first_fitting_model(scales, at, chosen.sheets, findings, Deadline(chosen.seconds))


def build_minutes(made: Model, chosen: Choices) -> float:
    """Minutes that building a model takes at the user's working speed."""
    return work_minutes(measure_work(made.nets), chosen.pace)


def _model_at(part: Part, chosen: Choices, listener: Listener, scale: float) -> Model:
    """The model at one full size: the first step within the minutes, or the next one if it comes out longer."""
    ladder = Ladder(part, chosen, scale)
    k = ladder.first_within(chosen.minutes)
    made = _model_of_step(ladder, k, listener)
    minutes = build_minutes(made, chosen)
    poorer = None if chosen.minutes is None or minutes <= chosen.minutes else ladder.next_poorer(k)
    if poorer is not None:
        k = poorer
        made = _model_of_step(ladder, k, listener)
        minutes = build_minutes(made, chosen)
    findings = [*made.findings]
    drawn = ladder.reduced(k).drawn
    if drawn:
        findings.append(DRAWN.at("the model", features=tuple(f.name for f in drawn)))
    if ladder.steps[k].hold != chosen.hold:
        findings.append(TAPED.at("the model", minutes=ladder.minutes_with_glue()))
    if ladder.steps[k].scale < scale:
        whole = min(ladder.minutes(j) for j, s in enumerate(ladder.steps) if s.scale == scale)
        shown = {"scale": scale_text(ladder.steps[k].scale), "full": scale_text(scale)}
        tape = ladder.minutes_with_tape()
        cure = (
            f"--hold tape builds it at {shown['full']} in {format_count(tape, 'minute')}, or add"
            if tape
            else "for full size add"
        )
        findings.append(SMALLER.at("the model", minutes=round(whole), cure=f"{cure} --scale {shown['full']}", **shown))
    if chosen.minutes is not None and round(minutes) > chosen.minutes:
        findings.append(_over_budget(ladder, k, minutes))
    return replace(
        made,
        findings=tuple(findings),
        drawn=drawn,
        step=ladder.taken(k, minutes),
        step_up=ladder.step_up(k),
        step_down=ladder.step_down(k),
        ladder=ladder,
    )


def _model_of_step(ladder: Ladder, k: int, listener: Listener) -> Model:
    step, chosen = ladder.steps[k], ladder.choices_of(k)
    listener("facet", 0.0)
    faceted, merged = ladder.faceted(k)
    rule = "faces" if chosen.join == "auto" else chosen.join
    solids = join(faceted, rule, chosen.tolerance)
    paper = parse_paper(chosen.paper)
    made = finish_model(faceted, solids, step.scale, chosen, paper, listener, step.spare_tabs, ladder.reduced(k))
    return replace(made, findings=(*merged, *made.findings), join=rule)


def _over_budget(ladder: Ladder, k: int, minutes: float) -> Finding:
    """Why a model takes longer than the minutes that there were."""
    chosen = ladder.choices
    down = ladder.next_poorer(k)
    if down is not None:
        reason = "that is what it came to, after an estimate that was too low"
        cure = f"--minutes {max(1, int(ladder.minutes(down)))} gives the next step down"
    elif chosen.scale is not None:
        reason, cure = "the scale is yours", "--scale auto may make it smaller"
    elif chosen.fixed_facets & {"sides", "chord_error", "radius_rule"}:
        reason, cure = "sides and radius are yours", "without --sides, --chord-error and --radius it is quicker"
    else:
        reason = f"no end face is made smaller than {MIN_END_FACE_MM:g} mm"
        tape = ladder.minutes_with_tape()
        cure = f"--hold tape builds it in {format_count(tape, 'minute')}; " if tape else ""
        cure += "a smaller --scale is quicker, or a part file with less on it"
    return OVER_BUDGET.at(
        "building the model", minutes=round(minutes), budget=round(chosen.minutes or 0), reason=reason, cure=cure
    )
