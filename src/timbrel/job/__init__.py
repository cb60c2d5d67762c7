"""What the mason states: the job file, its units and its checks."""

from timbrel.job.defaults import DefaultUsed
from timbrel.job.load import JOB_FILE, Loaded, load_job, read_job
from timbrel.job.model import Job

__all__ = ["JOB_FILE", "DefaultUsed", "Job", "Loaded", "load_job", "read_job"]
