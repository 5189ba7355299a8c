"""Waits against ramps: what the controller waits, what the drive needs (speed room)."""

from dataclasses import dataclass

from doorsheet.speed.known import SpeedFacts, Timing, number, percent

__all__ = ["Wait", "waits"]


@dataclass(frozen=True, slots=True)
class Wait:
    """One wait of the controller against what the machine needs; None: not given."""

    name: str  # "after start", "after stop"
    wait_s: float | None
    needed_s: float | None
    needed_said: str  # what the need is made of, or what is missing
    said: tuple[str, ...]

    @property
    def short_s(self) -> float:
        """By how much the wait is too short, s; 0 when it is enough or can't be told."""
        if self.wait_s is None or self.needed_s is None:
            return 0.0
        return max(0.0, self.needed_s - self.wait_s)


def waits(facts: SpeedFacts) -> tuple[Wait, ...]:
    """Compare both waits at the full step: from standstill to the top, and from the top to standstill."""
    timing = facts.timing
    return (
        _wait("after start", timing.wait_start_s, timing.ramp_up_s, "ramp up", timing),
        _after_stop(facts),
    )


def _after_stop(facts: SpeedFacts) -> Wait:
    timing = facts.timing
    by_ramp = timing.stops_by == "ramp" or (timing.stops_by is None and timing.coast_s is None)
    if timing.stops_by == "coast":
        return _wait("after stop", timing.wait_stop_s, timing.coast_s, "coast", timing)
    if by_ramp:
        wait = _wait("after stop", timing.wait_stop_s, timing.ramp_down_s, "ramp down", timing)
        if timing.stops_by is None and timing.ramp_down_s is not None:
            return _with(wait, "holds only if the drive ramps down when run opens (not given: stops-by)")
        return wait
    longer = max(timing.coast_s or 0.0, timing.ramp_down_s or 0.0)
    wait = _wait("after stop", timing.wait_stop_s, longer, "longer of coast and ramp down", timing)
    return _with(wait, "whether the drive ramps or coasts when run opens isn't given (stops-by)")


def _wait(name: str, wait_s: float | None, takes_s: float | None, takes: str, timing: Timing) -> Wait:
    """Say what is too short by how much, and whether the controller could wait long enough at all."""
    if takes_s is None:
        ask = "measure it on this machine" if takes == "coast" else "read the drive's setting"
        return Wait(name, wait_s, None, f"{takes} not given", (ask,))
    margin = timing.margin_s or 0.0
    needed = takes_s + margin
    makes = f"{takes} {number(takes_s)} s"
    makes += f" + margin {number(margin)} s" if timing.margin_s is not None else ", no margin given"
    said: list[str] = []
    if wait_s is None:
        said.append("the controller's wait isn't given: read its setting")
    elif wait_s < needed:
        said.append(f"too short by {number(needed - wait_s)} s")
        if takes == "ramp up" and takes_s > 0:
            enough = percent(max(0.0, wait_s - margin) / takes_s)
            said.append(f"it is enough up to {enough} of the drive's highest frequency")
    if timing.cap_s is not None and needed > timing.cap_s:
        shorter = number(max(0.0, timing.cap_s - margin))
        words = f"shorten the ramp to {shorter} s, if the drive doesn't trip"
        if "coast" in takes:
            words = "coasting can't be shortened: let it ramp or brake, or hold the next step otherwise"
        said.append(
            f"the controller waits {number(timing.cap_s)} s at most, {number(needed)} s is needed: {words}"
        )
    return Wait(name, wait_s, needed, makes, tuple(said))


def _with(wait: Wait, words: str) -> Wait:
    return Wait(wait.name, wait.wait_s, wait.needed_s, wait.needed_said, (*wait.said, words))
