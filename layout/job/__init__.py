"""Read and check the files people write: a hull file and a job file, both TOML."""

from layout.job.models import HullFile, JobFile
from layout.job.reading import JobFiles, read_job

__all__ = ["HullFile", "JobFile", "JobFiles", "read_job"]
