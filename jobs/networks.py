"""Where a request comes from, as far as that can be believed."""

from __future__ import annotations

from ipaddress import ip_address, ip_network

from django.conf import settings
from django.http import HttpRequest

# One subscriber's share of the internet: a household or a site has many IPv6 addresses, and a few of IPv4 side by side.
# RFC 6177 leaves the size of an IPv6 site open between /48 and /64; /56 is common practice, no source.
PREFIX = {4: 24, 6: 56}


def client_address(request: HttpRequest) -> str:
    """The sender's address; empty where nobody can tell.

    X-Forwarded-For is read only with PROXY_COUNT proxies before the site, each of which appends the address it was
    asked from: the entry that many places from the right is the last one that the sender could not write himself.
    """
    told: str = request.META.get("REMOTE_ADDR") or ""
    if settings.PROXY_COUNT:
        passed = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()]
        told = passed[-settings.PROXY_COUNT] if len(passed) >= settings.PROXY_COUNT else told
    try:
        address = ip_address(told.partition("%")[0])
    except ValueError:
        return ""
    return str(getattr(address, "ipv4_mapped", None) or address)


def network_of(request: HttpRequest) -> str:
    """The sender's network, as 192.0.2.0/24; empty where his address is not known."""
    address = client_address(request)
    if not address:
        return ""
    version = ip_address(address).version
    return str(ip_network(f"{address}/{PREFIX[version]}", strict=False))
