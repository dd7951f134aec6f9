"""One hand among several: freeze quotes in a process of its own, and print their numbers and versions.

Started by test_numbering_concurrency with the database in DATABASE_URL: python -m tests.costing.freezing TIMES JOB [JOB ...]
"""

import json
import sys

import django

django.setup()

from costing.services.quotes import freeze_quote  # noqa: E402
from jobs.models import Job  # noqa: E402


def main() -> None:
    times, *numbers = (int(word) for word in sys.argv[1:])
    told = []
    for turn in range(times):
        job = Job.objects.select_related("client", "piece").get(number=numbers[turn % len(numbers)])
        quote = freeze_quote(job=job, by=None)
        told.append([quote.number, quote.version])
    sys.stdout.write(json.dumps(told))


if __name__ == "__main__":
    main()
