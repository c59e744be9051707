"""Files people write: what may stand in them, and how they are read."""

from layout.job.hull_file import HullFile
from layout.job.job_file import JobFile
from layout.job.reading import JobFiles, read_job

__all__ = ["HullFile", "JobFile", "JobFiles", "read_job"]
