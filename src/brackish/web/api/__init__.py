# SPDX-License-Identifier: MIT
"""The API under /api/v1. Every client, the pages too, uses it; all writing about a job is by events.

session    sign in, sign out, who am I        people       invitations, roles, audit
jobs       list, one job, events, outcome     attachments  files of a job
signatures keys and signatures                library      methods, clause, limits, counts
lessons    the controls of the lessons
trying     drafts of files, what if: stores nothing    runs      remarks on facts, a meter's check: stores nothing
"""

from __future__ import annotations

from typing import Any

from ninja import NinjaAPI

import brackish
from brackish.web.api import attachments, errors, examples, jobs, ledgers, lessons, library, people, runs, session, signatures, trying, verifying


class Described(NinjaAPI):
    """The API with examples in its own description, and the one shape of an error in every answer."""

    @property
    def urls(self) -> Any:
        patterns, *names = super().urls
        for pattern in patterns:
            pattern.callback = errors.shaped(pattern.callback)
        return patterns, *names

    def get_openapi_schema(self, **options: Any) -> Any:
        return examples.described(super().get_openapi_schema(**options))


api = Described(
    title="brackish",
    version="1",
    description='Salt on blasted steel: jobs, events, outcomes. Errors are `{"errors": [{code, place, params, message}]}`, all faults at once. '
    f"Engine {brackish.__version__}.",
    docs_url=None,
    urls_namespace="api-1",
    auth=session.signed_in,
    parser=errors.JsonParser(),
)
errors.register(api)
for prefix, routers in {
    "/jobs": (jobs.router, attachments.router, signatures.router, runs.router),
    "/ledgers": (ledgers.router,),
    "": (session.router, signatures.own, people.router, library.router, lessons.router, trying.router, verifying.router),
}.items():
    for router in routers:
        api.add_router(prefix, router)
