from __future__ import annotations

import pytest
from zeroconf import ServiceInfo

from tablesync.nearby import SERVICE, address_in, announced, announcement

OWN = ("127.0.0.1", "10.0.0.5")


def _said(address: str, machine: str = "gym-office") -> ServiceInfo:
    info = announcement(address, machine, OWN)
    assert info is not None
    return info


def _claimed(
    scheme: str, port: int = 8642, hosts: tuple[str, ...] = OWN
) -> ServiceInfo:
    """What somebody on the network says, in the form of a relay or not."""
    return ServiceInfo(
        SERVICE,
        f"x.{SERVICE}",
        port=port,
        parsed_addresses=list(hosts),
        properties={"scheme": scheme},
    )


@pytest.mark.parametrize(
    ("address", "found"),
    [
        ("ws://10.0.0.7:8642", "ws://10.0.0.7:8642"),
        ("wss://10.0.0.7:99", "wss://10.0.0.7:99"),
        ("ws://0.0.0.0:8642", "ws://10.0.0.5:8642"),
        ("ws://[::]:8642", "ws://10.0.0.5:8642"),
        ("ws://[fd00::7]:8642", "ws://[fd00::7]:8642"),
    ],
)
def test_a_device_reads_where_the_relay_listens(address: str, found: str) -> None:
    assert address_in(_said(address)) == found


@pytest.mark.parametrize("address", ["ws://127.0.0.1:8642", "ws://[::1]:8642"])
def test_a_relay_that_only_this_machine_reaches_says_nothing(address: str) -> None:
    assert announcement(address, "gym-office", OWN) is None


def test_the_announcement_keeps_the_limits_of_dns_sd() -> None:
    """RFC 6763: 4.1.1 a name of up to 63 bytes, 6.7 the version stands first."""
    info = _said("ws://10.0.0.7:8642", "gym-office." * 12)
    assert len(info.name.removesuffix(f".{SERVICE}").encode()) <= 63
    assert info.text.startswith(b"\x09txtvers=1")
    assert all(
        len(one) <= 15 for one in SERVICE.split(".")[0].removeprefix("_").split()
    )


@pytest.mark.parametrize("scheme", ["", "http", "file", "ws://elsewhere/?"])
def test_what_is_no_address_of_a_relay_is_passed_over(scheme: str) -> None:
    assert address_in(_claimed(scheme)) is None
    assert address_in(_claimed("ws", hosts=())) is None
    assert address_in(_claimed("ws", port=0)) is None


async def test_a_relay_on_loopback_opens_no_socket_to_say_so() -> None:
    async with announced("ws://127.0.0.1:8642"):
        pass
