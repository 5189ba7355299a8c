"""The page for the bench: sheet, next action, findings, a field for the reading, over HTTP.

`server` answers, `door` says whom, `bench` watches the file and writes into it, `shown` says what the
page shows.  What belongs elsewhere: which action comes next (job), what a sheet looks like
(page, output), how words become lines of the file (logbook).
"""

from doorsheet.bench_page.bench import Bench
from doorsheet.bench_page.server import PageServer

__all__ = ["Bench", "PageServer"]
