"""What has to be mended before the job goes on (job room)."""

from dataclasses import replace

from doorsheet.checks.finding import Finding
from doorsheet.circuit.units import discharge_of
from doorsheet.job.action import Action, KeyAsked, ReadingAsked
from doorsheet.job.cautions import shock
from doorsheet.job.dead_work import clip
from doorsheet.job.done import Judged
from doorsheet.job.trial import Power, Trial
from doorsheet.mapping.model import Mapping
from doorsheet.trade.language import tr

__all__ = ["again", "mending"]


def mending(stop: Finding, action: Action, mapping: Mapping) -> Action:
    """Return the mending of a finding that forbids an action."""
    where = (stop.control,) if stop.control else ()
    warned = shock(discharge_of(mapping), bool(mapping.drives))
    do = f"{stop.do_on_paper[:1].upper()}{stop.do_on_paper[1:]}."
    return Action(
        f"mend:{stop.code}",
        action.phase,
        action.stage,
        action.drive,
        tr("Mend first: {reason}", reason=stop.reason_on_paper),
        (Trial(do, tr("doorsheet check has no {code} any more", code=stop.code)),),
        KeyAsked(where, ""),
        (tr("Nothing is connected or tried before stop {code} is mended.", code=stop.code), warned),
        unlocks=action.title,
    )


def again(action: Action, found: Judged) -> Action:
    """Return an action that was tried in vain: first what is wrong, then the same again."""
    asked, outcome = action.asked, found.outcome
    if not isinstance(asked, ReadingAsked):
        why = tr(
            'It was noted as "{result}". Lock off and find out why before it is tried again.',
            result=found.result,
        )
        return replace(
            action,
            title=tr("Again: {title}", title=action.title),
            trials=(Trial(why, tr("mended")), *action.trials),
        )
    said = tr("{result} is not what it should be", result=found.result)
    if outcome is None:
        do = tr("Lock off, wait, prove dead; look at the clips and at every wire of this control.")
        return _reread(
            action, asked, tr("{said}, and no single mistake that was tried explains it", said=said), do
        )
    if outcome.dangerous:
        line = Trial(outcome.do, tr("nobody measures there again before they have said why"))
        return replace(action, title=f"{found.result}: {outcome.meaning}", trials=(line,))
    return _reread(action, asked, f"{said}: {outcome.meaning}", outcome.do)


def _reread(action: Action, asked: ReadingAsked, title: str, do: str) -> Action:
    """Return the same reading after the fault has been found, the leads on before the power."""
    lines = [Trial(do, tr("found and mended"))]
    if asked.unit == "V" and action.trials[0].power is Power.ON:  # the leads were clipped on before
        lines.append(Trial(clip(asked.red, asked.black), tr("on by itself")))
    return replace(action, title=title, trials=(*lines, *action.trials))
