"""What several drives share at one controller, checked over all of them."""

from __future__ import annotations

from doorsheet.checks import Severity
from doorsheet.circuit import Stage
from tests.checks.cases import HEAD, codes, found
from tests.plants import TWO_PUMPS

NUMBERED = TWO_PUMPS.replace("meter = 24.", 'wires = { common = { number = "K7" } }\nmeter = 24.')
"""Both pumps' returns have one number; the two isolated outputs join nothing."""


def marks(text: str) -> list[tuple[str, str, Severity]]:
    """Return code, drive and severity of what is found about numbers, each once."""
    said = [(f.code, f.drive, f.severity) for f in found(text) if f.code in ("W102", "W105")]
    return list(dict.fromkeys(said))


def test_one_number_in_two_drives_stops_where_the_wires_are_not_joined() -> None:
    assert marks(NUMBERED) == [("W102", "pump-2", Severity.STOP)]


def test_one_number_in_two_drives_is_a_custom_where_one_terminal_joins_the_wires() -> None:
    shared = NUMBERED.replace('minus = "OUT2-"', 'minus = "OUT1-"')
    final = [finding for finding in found(shared, (Stage.FINAL,)) if finding.code in ("W102", "W105")]
    assert [(f.code, f.drive, f.severity) for f in final] == [("W105", "pump-2", Severity.NOTE)]
    assert "of one potential: pump-1 " in final[0].reason


_FED = 'feed = "+24V", gives = "4-20 mA", powered-by = "drive" }'
LOOPS = "[controller]\nconductors-per-terminal = 2\n" + "".join(
    f'[drives.{name}]\ninputs = {{ voltage = "24 V", supply-minus = "CM" }}\n'
    f'links = [{{ between = ["CM", "AGND"] }}]\n[drives.{name}.speed]\nsignal = "AI2"\ncommon = "AGND"\n'
    f'range = "4-20 mA"\nsource = {{ plus = "{output}+", signal = "{output}-", {_FED}\n'
    for name, output in (("North", "AO1"), ("South", "AO2"))
)
"""Two drives, each of which feeds an analog output of the controller."""


def test_two_drives_that_feed_one_terminal_feed_each_other() -> None:
    """The plus of both outputs is one terminal, or a bridge joins theirs: 24 V of each at one wire."""
    bridge = 'conductors-per-terminal = 2\nlinks = [{ between = ["AO1+", "AO2+"] }]'
    for text in (
        LOOPS.replace("AO2+", "AO1+"),
        LOOPS.replace("conductors-per-terminal = 2", bridge),
        LOOPS.replace("AO2+", "AO1+").replace('"+24V", gives', '"+12V", gives', 1),
    ):
        (stop,) = [finding for finding in found(HEAD + text) if finding.code == "N101"]
        assert (stop.drive, stop.severity) == ("South", Severity.STOP)
        assert "North +" in stop.reason and "South +24V meet at AO1+" in stop.reason
    assert "N101" not in codes(HEAD + LOOPS)  # each at a terminal of its own


CONTACTS = "".join(
    f'[drives.{name}]\nlinks = [{{ between = ["+24V", "CM"] }}]\n[drives.{name}.run-forward]\ninput = "DI1"\n'
    f'common = "CM"\noutput = {{ kind = "contact", terminals = ["K{at}:13", "K{at}:14"] }}\nmeter = -24.1\n'
    for at, name in enumerate(("North", "South"), 1)
)
"""Two drives whose inputs are fed by a link, each through a contact of the controller."""


def test_two_drives_that_feed_their_contacts_by_one_terminal_feed_each_other() -> None:
    """A link brings each drive's 24 V to the common, or its label says so; the minus they may share."""
    one = CONTACTS.replace("K2:14", "K1:14")
    label = one.replace('"CM"\n', '"+24V"\n').replace('links = [{ between = ["+24V", "CM"] }]\n', "")
    bridge = '[controller]\nlinks = [{ between = ["K1:14", "K2:14"] }]\n' + CONTACTS
    for text in (one, label, bridge):
        stops = [finding for finding in found(HEAD + text) if finding.code == "N101"]
        assert [(stop.drive, stop.control) for stop in stops] == [("South", "run-forward")]
        assert "North +24V and South +24V meet at K1:14" in stops[0].reason
    last = one.rindex("links")
    outside = label.replace("[drives.North]", '[drives.North]\ninputs = { fed-from = "outside" }')
    outside = outside.replace("[drives.South]", '[drives.South]\ninputs = { fed-from = "outside" }')
    minus = one.replace("+24V", "0V").replace("-24.1", "24.1")
    linked_once = one[:last] + one[last:].replace('links = [{ between = ["+24V", "CM"] }]\n', "")
    for text in (CONTACTS, outside, minus, linked_once):
        assert "N101" not in codes(HEAD + text)
