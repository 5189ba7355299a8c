"""The electrics room: the installation as one network, solved for every state and every single fault.

`solve` joins a mapping at one stage and returns a `Solved`: all that is printed of volts and milliamperes
is read off it.  What the figures are is in `figures`, what is joined in `installation`, the method of
solving in `doorsheet.network`.
"""

from doorsheet.electrics.readings import solve
from doorsheet.electrics.solved import Level, Solved, State, over

__all__ = ["Level", "Solved", "State", "over", "solve"]
