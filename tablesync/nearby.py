"""Relays on the local network: a relay says that it is there, a device looks around.

DNS-SD over multicast DNS (RFC 6763, RFC 6762), by python-zeroconf:
`pip install 'tablesync[nearby]'`. Without it nothing is said and nothing is found, and
an address is typed. What is found is no more than an address that somebody on this
network claims: no secret is said here, and none is believed.
"""

from __future__ import annotations

import asyncio
import logging
import socket
from contextlib import asynccontextmanager
from importlib.util import find_spec
from ipaddress import IPv4Address, ip_address
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

if TYPE_CHECKING:
    from collections.abc import AsyncIterator, Callable, Iterable

    from zeroconf import ServiceInfo, ServiceStateChange, Zeroconf

__all__ = ["SERVICE", "address_in", "announced", "announcement", "look_around"]

log = logging.getLogger(__name__)

SERVICE = "_tablesync._tcp.local."
SCHEMES = ("ws", "wss")
ANSWER_MS = 3_000
LONGEST_NAME = 63
"""Bytes of an instance's name: RFC 6763, 4.1.1."""


def announcement(address: str, machine: str, own: Iterable[str]) -> ServiceInfo | None:
    """What a relay says of itself; None where no other machine can reach it.

    Args:
        address: where it listens, as a WebSocket address.
        machine: what this machine is called.
        own: this machine's addresses, for a relay that listens at all of them.
    """
    from zeroconf import ServiceInfo

    parts = urlsplit(address)
    host = ip_address(parts.hostname or "")
    hosts = [ip_address(one) for one in own] if host.is_unspecified else [host]
    reached = [one for one in hosts if not one.is_loopback]
    if not reached:
        return None
    name = f"{machine} {parts.port}".replace(".", " ")[:LONGEST_NAME]
    return ServiceInfo(
        SERVICE,
        f"{name}.{SERVICE}",
        port=parts.port,
        addresses=[one.packed for one in reached],
        # RFC 6763, 6.7: the version of the record stands first.
        properties={"txtvers": "1", "scheme": parts.scheme},
        server=f"{machine.partition('.')[0]}.local.",
    )


def address_in(info: ServiceInfo) -> str | None:
    """Where the relay of an announcement listens; None where it does not say so."""
    scheme = (info.properties.get(b"scheme") or b"").decode("ascii", "replace")
    hosts = [ip_address(one) for one in info.parsed_addresses()]
    if scheme not in SCHEMES or not hosts or not info.port:
        return None
    # A network with both kinds of address is reached most surely by the old one.
    host = min(hosts, key=lambda one: not isinstance(one, IPv4Address))
    named = str(host) if isinstance(host, IPv4Address) else f"[{host}]"
    return f"{scheme}://{named}:{info.port}"


@asynccontextmanager
async def announced(address: str) -> AsyncIterator[None]:
    """Says on the local network that a relay is there, as long as this is open.

    Args:
        address: where it listens, as a WebSocket address.
    """
    if find_spec("zeroconf") is None:
        yield
        return
    from zeroconf.asyncio import AsyncZeroconf

    info = announcement(address, socket.gethostname(), _own_addresses())
    if info is None:
        yield
        return
    try:
        network = AsyncZeroconf()
    except OSError as error:
        log.warning("the relay can't say on the network that it is there: %s", error)
        yield
        return
    try:
        await network.async_register_service(info, allow_name_change=True)
        yield
    finally:
        await network.async_unregister_all_services()
        await network.async_close()


def _own_addresses() -> list[str]:
    """The addresses of this machine of the old kind, which every network has."""
    from ifaddr import get_adapters

    given = [one.ip for adapter in get_adapters() for one in adapter.ips]
    return [ip for ip in given if isinstance(ip, str)]


async def look_around(found: Callable[[tuple[str, ...]], None]) -> None:
    """Looks for relays until it is cancelled; returns at once where that can't be done.

    Args:
        found: given the addresses of all relays that are there, whenever they change.
    """
    if find_spec("zeroconf") is None:
        return
    from zeroconf.asyncio import AsyncZeroconf

    try:
        network = AsyncZeroconf()
    except OSError as error:
        log.warning("relays can't be looked for: %s", error)
        return
    async with network:
        await _look_around(network.zeroconf, found)


async def _look_around(
    network: Zeroconf, found: Callable[[tuple[str, ...]], None]
) -> None:
    from zeroconf import ServiceStateChange
    from zeroconf.asyncio import AsyncServiceBrowser, AsyncServiceInfo

    changes: asyncio.Queue[tuple[str, ServiceStateChange]] = asyncio.Queue()

    def changed(
        zeroconf: Zeroconf,  # noqa: ARG001
        service_type: str,  # noqa: ARG001
        name: str,
        state_change: ServiceStateChange,
    ) -> None:
        changes.put_nowait((name, state_change))

    browser = AsyncServiceBrowser(network, SERVICE, handlers=[changed])
    known: dict[str, str] = {}
    try:
        while True:
            name, change = await changes.get()
            known.pop(name, None)
            if change is not ServiceStateChange.Removed:
                info = AsyncServiceInfo(SERVICE, name)
                answered = await info.async_request(network, ANSWER_MS)
                address = address_in(info) if answered else None
                if address is not None:
                    known[name] = address
            found(tuple(sorted(set(known.values()))))
    finally:
        await browser.async_cancel()
