"""Facts of the cables that a control's wires run in.

Room: circuit.
"""

from __future__ import annotations

from typing import Final

from doorsheet.circuit.electric import awg_ohm_per_km, conductor_ohm_per_km
from doorsheet.circuit.fact import Fact, FactReader, Known, Origin, Unknown
from doorsheet.circuit.quantities import Interval
from doorsheet.mapping.quantities import read_conductor, read_quantity
from doorsheet.mapping.ratings import Cable

__all__ = ["CableFacts"]

NO_CABLE: Final = "no cable given, its wires taken as nothing"


class CableFacts(FactReader):
    """Facts of cables, by the control whose wires run in them."""

    # ---- cables ----

    def cable_of(self, control: str) -> Cable | None:
        """Return the cable that a control's wires run in; None when the mapping says nothing of it."""
        found = self._cable(control)
        return found[1] if found else None

    def _cable(self, control: str) -> tuple[int, Cable] | None:
        name = self.mapping.control(control).cable
        cables = enumerate(self.mapping.cables)
        return next(((index, cable) for index, cable in cables if cable.name == name), None)

    def cable_ohm_per_km(self, control: str) -> Known:
        """Most resistance of 1 km of one of the cable's conductors, by data sheet or standard."""
        found = self._cable(control)
        name = "resistance of the cable's conductor"
        if found is None:
            return Unknown(name, "give the cable's length and conductor under [[cables]]", ("cables",))
        index, cable = found
        if cable.resistance is not None:
            return self._fact(name, cable.resistance, ("ohm/km",), ("cables", index, "resistance"), "")
        path = ("cables", index, "conductor")
        if cable.conductor is None:
            return Unknown(name, "give the conductor's size as printed on the cable", path)
        size, kind = read_conductor(cable.conductor)
        warm = read_quantity(cable.temperature, "°C").high if cable.temperature else 20.0
        if kind == "AWG":
            value, where = awg_ohm_per_km(int(size), warm), "ASTM B258 and copper's resistivity"
        else:
            grade = cable.strand_class or 5
            try:
                value = conductor_ohm_per_km(size, grade, temperature_c=warm)
            except KeyError:
                ask = f"{size:g} mm2 class {grade} is in no table here: give its resistance in ohm/km"
                return Unknown(name, ask, ("cables", index, "resistance"))
            where = f"IEC 60228 class {grade}"
        return Fact(name, Interval.of(value), "ohm/km", Origin.STANDARD, where, path)

    def wire_resistance(self, control: str) -> Known:
        """Resistance of one conductor of a control's cable, from nothing to its most, ohm.

        Standards promise only the most.  Where no cable is given, nothing, as a default with its name.
        """
        name = "resistance of one wire"
        if self._cable(control) is None:
            return Fact(name, Interval.of(0.0), "ohm", Origin.DEFAULT, NO_CABLE)
        return self.conductor_resistance(control)

    def conductor_resistance(self, control: str) -> Known:
        """The same, but unknown where no cable is given."""
        found = self._cable(control)
        per_km = self.cable_ohm_per_km(control)
        if found is None or isinstance(per_km, Unknown):
            return per_km
        index, cable = found
        path = ("cables", index, "length")
        length = self._fact("length of the cable", cable.length, ("m",), path, "measure the cable's run")
        if isinstance(length, Unknown):
            return length
        most = per_km.interval.high * length.interval.high / 1000
        where = f"{length} of {per_km}"
        return Fact("resistance of one wire", Interval(0.0, most), "ohm", Origin.COMPUTED, where, path)
