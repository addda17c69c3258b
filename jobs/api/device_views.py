"""Devices by the API: the list, another name, the end of one.

A token makes no other token: one that was stolen could otherwise outlive its own revocation. Devices are linked on the
pages, by somebody who signed in with his password.
"""

from __future__ import annotations

from datetime import datetime
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from jobs.api.access import FieldView
from jobs.api.fields import Fields
from jobs.api.responses import read_responses, write_responses
from jobs.models import Device
from jobs.refusals import Mistake, not_found, raise_mistakes
from jobs.selectors.devices import devices_of, state_of
from jobs.services.devices import NAME_LENGTH, device_rename, device_revoke

LARGEST_ID = 2**63 - 1


class DeviceOut(serializers.Serializer):
    """A device, without its token, which is told once when it is linked and never again."""

    id = serializers.IntegerField()
    membership = serializers.IntegerField()
    name = serializers.CharField()
    state = serializers.ChoiceField(["in force", "expired", "revoked"])
    created_at = serializers.DateTimeField()
    expires_at = serializers.DateTimeField()
    last_used_at = serializers.DateTimeField(allow_null=True, help_text="noted once an hour at most")
    revoked_at = serializers.DateTimeField(allow_null=True)


class DeviceNameIn(serializers.Serializer):
    """What to call a device from now on."""

    name = serializers.CharField(max_length=NAME_LENGTH)


class Devices(FieldView):
    """Devices of the token's member, newest first; for the office those of every member."""

    @extend_schema(operation_id="devices_list", responses=read_responses(DeviceOut(many=True)))
    def get(self, request: Request) -> Response:
        page = self.paginate_queryset(devices_of(self.actor))
        return self.get_paginated_response([device_row(device, self.now) for device in page])


class DeviceRenamed(FieldView):
    """Another name for a device."""

    @extend_schema(operation_id="device_rename", request=DeviceNameIn, responses=write_responses(DeviceOut, status=200))
    def post(self, request: Request, device: int) -> Response:
        """Call it something else. Sent again it changes nothing."""
        if not devices_of(self.actor).filter(pk=min(device, LARGEST_ID)).exists():
            raise not_found("device", "device", device)
        mistakes: list[Mistake] = []
        fields = Fields(request.data, mistakes)
        name = fields.text("name", longest=NAME_LENGTH)
        fields.only()
        raise_mistakes(mistakes)
        renamed = device_rename(actor=self.actor, device=device, name=name, now=self.now)
        return Response(device_row(renamed, self.now))


class DeviceRevoked(FieldView):
    """The end of a device's token."""

    @extend_schema(operation_id="device_revoke", request=None, responses=write_responses(DeviceOut, status=200))
    def post(self, request: Request, device: int) -> Response:
        """End the token at once, one's own too. Sent again it changes nothing."""
        return Response(device_row(device_revoke(actor=self.actor, device=device, now=self.now), self.now))


def device_row(device: Device, now: datetime) -> dict[str, Any]:
    return {
        "id": device.pk,
        "membership": device.membership_id,
        "name": device.name,
        "state": state_of(device, now),
        "created_at": device.created_at,
        "expires_at": device.expires_at,
        "last_used_at": device.last_used_at,
        "revoked_at": device.revoked_at,
    }
