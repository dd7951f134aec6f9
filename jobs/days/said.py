"""What could not be laid out, or only with a doubt: one sentence each, with the job and the page where it is put right."""

from typing import Any

from jobs.models import Job


def left_out(job: Job, sentence: str, *, page: str) -> dict[str, Any]:
    """Say that a job was not laid out; `page` is where what is missing is entered."""
    return {"kind": "job", **_of(job), "sentence": sentence, "page": page}


def doubt(sentence: str, *, job: Job | None = None, page: str = "") -> dict[str, Any]:
    """Say what was supposed, of one job or of all."""
    return {"kind": "remark", **_of(job), "sentence": sentence, "page": page}


def missing(job: Job, sentence: str, *, material_id: int, missing_g: float) -> dict[str, Any]:
    """Say that a material is neither here nor ordered; the job is laid out all the same."""
    return {
        "kind": "material", **_of(job), "sentence": sentence, "page": "materials:expected_list",
        "material": material_id, "missing_g": round(missing_g, 1),
    }  # fmt: skip


def _of(job: Job | None) -> dict[str, Any]:
    return {"job": None, "title": ""} if job is None else {"job": job.number, "title": job.title}
