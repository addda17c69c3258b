"""What a phone needs to know: jobs, walls, work units with what is left, people and crews. All within reach."""

from __future__ import annotations

import re
from typing import Any

from django.db.models import F
from django.http import Http404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from jobs.api import answers, shapes
from jobs.api.access import FieldView
from jobs.api.problems import KINDS, STATUS, exception_handler
from jobs.api.responses import read_responses
from jobs.models import Job
from jobs.refusals import invalid
from jobs.selectors.reach import crews_of, jobs_of, people_of, walls_of, work_units_of

OPEN = OpenApiParameter("open", bool, description="1: only work units with something left; 0: only those without")
WALL = OpenApiParameter("wall", int, description="only work units of this wall")


class Jobs(FieldView):
    """Jobs in the reach of the token."""

    @extend_schema(operation_id="jobs_list", responses=read_responses(shapes.JobOut(many=True)))
    def get(self, request: Request) -> Response:
        return self.get_paginated_response(
            [answers.job_row(job) for job in self.paginate_queryset(jobs_of(self.actor))]
        )


class OneJobView(FieldView):
    """A view below one job."""

    def job(self) -> Job:
        """The job of the address. Raises Http404 for one out of reach, as for one that does not exist."""
        job = jobs_of(self.actor).filter(pk=self.kwargs["job"]).first() if self.kwargs["job"] < 2**63 else None
        if job is None:
            raise Http404
        return job


class JobWalls(OneJobView):
    """Walls of a job."""

    @extend_schema(operation_id="job_walls_list", responses=read_responses(shapes.WallOut(many=True)))
    def get(self, request: Request, job: int) -> Response:
        page = self.paginate_queryset(walls_of(self.actor).filter(job=self.job()).select_related("level"))
        return self.get_paginated_response([answers.wall_row(wall) for wall in page])


class JobWorkUnits(OneJobView):
    """Work units of a job, with what is measured, done and left."""

    @extend_schema(
        operation_id="job_work_units_list",
        parameters=[OPEN, WALL],
        responses=read_responses(shapes.WorkUnitOut(many=True)),
    )
    def get(self, request: Request, job: int) -> Response:
        units = work_units_of(self.actor).filter(job=self.job()).select_related("level", "wall", "operation")
        wall = request.query_params.get("wall")
        if wall is not None:
            if not (re.fullmatch(r"[0-9]{1,19}", wall) and 0 < int(wall) < 2**63):
                raise invalid("wall", f"{wall[:60]!r} is no id. Ids are whole numbers from 1.")
            units = units.filter(wall=int(wall))
        only = request.query_params.get("open")
        if only in {"1", "true"}:
            units = units.filter(done__lt=F("measured"))
        elif only in {"0", "false"}:
            units = units.filter(done__gte=F("measured"))
        elif only is not None:
            raise invalid("open", f"{only[:60]!r} is neither 1 nor 0.")
        return self.get_paginated_response([answers.work_unit_row(unit) for unit in self.paginate_queryset(units)])


class People(FieldView):
    """People in the reach of the token."""

    @extend_schema(operation_id="people_list", responses=read_responses(shapes.PersonOut(many=True)))
    def get(self, request: Request) -> Response:
        page = self.paginate_queryset(people_of(self.actor))
        return self.get_paginated_response([answers.person_row(person) for person in page])


class Crews(FieldView):
    """Crews in the reach of the token, with their people."""

    @extend_schema(operation_id="crews_list", responses=read_responses(shapes.CrewOut(many=True)))
    def get(self, request: Request) -> Response:
        page = self.paginate_queryset(crews_of(self.actor).prefetch_related("members"))
        return self.get_paginated_response([answers.crew_row(crew) for crew in page])


class OpenView(APIView):
    """A view for whoever asks."""

    authentication_classes = ()
    permission_classes = ()
    http_method_names: tuple[str, ...] = ("get", "head")

    def get_exception_handler(self) -> Any:
        return exception_handler


class ProblemKind(OpenView):
    """What a kind of problem means: the address in a problem document's `type`."""

    @extend_schema(exclude=True)
    def get(self, request: Request, kind: str) -> Response:
        found = KINDS.get(kind)
        if found is None:
            raise Http404
        return Response({"kind": kind, "title": found.title, "status": STATUS[found], "meaning": found.__doc__})


class Nothing(OpenView):
    """Any address below /api/ that is none: a problem document, as everything here."""

    http_method_names = ("get", "head", "post", "put", "patch", "delete")

    @extend_schema(exclude=True)
    def get(self, request: Request, rest: str) -> Response:
        raise Http404

    post = put = patch = delete = get
