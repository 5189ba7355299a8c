"""The speed room: what speed to expect, what measured speeds mean, what to set, how long to wait.

Beside `doorsheet.circuit`: it knows the mapping, and nothing of wires or sheets.
"""

from doorsheet.speed.report import (
    PlotError,
    SpeedError,
    SpeedReport,
    as_data,
    as_text,
    speed_report,
    speed_reports,
)

__all__ = ["PlotError", "SpeedError", "SpeedReport", "as_data", "as_text", "speed_report", "speed_reports"]
