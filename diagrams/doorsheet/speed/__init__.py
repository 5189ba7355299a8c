"""The speed room: what speed to expect, what measured speeds mean, what to set, how long to wait.

Above `doorsheet.electrics`, which it reads the signal off: it knows nothing of sheets.
"""

from doorsheet.speed.report import SpeedError, SpeedReport, as_data, as_text, speed_report, speed_reports

__all__ = ["SpeedError", "SpeedReport", "as_data", "as_text", "speed_report", "speed_reports"]
