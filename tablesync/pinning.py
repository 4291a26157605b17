"""How a device connects to a relay, and makes sure of it before it says anything.

A relay's certificate is nobody's but its own, so no authority is asked. As soon as the
two ends have agreed on keys, the device compares the certificate's hash with the one
that it was told, and leaves without a word where they differ. Without a certificate to
compare, it connects to its own machine only.
"""

from __future__ import annotations

import hmac
import ipaddress
import ssl
from typing import TYPE_CHECKING

from websockets.asyncio.client import ClientConnection, connect
from websockets.exceptions import InvalidHandshake, InvalidURI
from websockets.uri import parse_uri

from tablesync.admission.invitation import SCHEME, RelayAddress, read_relay_address
from tablesync.errors import BadInputError, UnreachableError, WrongCertificateError
from tablesync.identity import certificate_hash
from tablesync.sockets import CLOSE_S, MOST_WAITING, OPEN_S
from tablesync.sync.codec import MOST_BYTES

if TYPE_CHECKING:
    import asyncio
    from typing import Any

    from websockets.client import ClientProtocol

__all__ = ["connected", "connected_to_any", "is_loopback"]


class _Connection(ClientConnection):
    """A connection that notes whose certificate it was shown."""

    expected: bytes | None = None
    """The hash that the relay must show; None where any is only noted."""

    def __init__(self, protocol: ClientProtocol, **options: Any) -> None:
        super().__init__(protocol, **options)
        self.shown = b""
        """The hash of the certificate that the relay has shown."""

    def connection_made(self, transport: asyncio.BaseTransport) -> None:
        """Called when TLS is agreed and nothing has been sent over it."""
        super().connection_made(transport)
        tls = transport.get_extra_info("ssl_object")
        self.shown = certificate_hash(tls.getpeercert(binary_form=True) or b"")
        if self.expected is not None and not self.is_expected:
            self.transport.abort()

    @property
    def is_expected(self) -> bool:
        """Whether the relay has shown the certificate that it must."""
        return hmac.compare_digest(self.shown, self.expected or b"")


def is_loopback(host: str) -> bool:
    """Whether that name or address can only be this machine."""
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return host == "localhost"


async def connected(address: str) -> ClientConnection:
    """A connection to a relay.

    Args:
        address: the text of an invitation or of a relay's address; or ws://HOST:PORT
            of this machine itself, which is not encrypted.

    Raises:
        WrongCertificateError: another certificate is shown there. Nothing was sent.
        UnreachableError: nobody answers there, it is no such text, or it is neither
            encrypted nor local.
    """
    if address.lower().startswith(SCHEME):
        try:
            relay = read_relay_address(address)
        except BadInputError as error:
            # Without the text, which may hold a secret.
            raise UnreachableError(SCHEME, str(error)) from error
        return await _pinned(relay)
    try:
        uri = parse_uri(address)
    except InvalidURI as error:
        raise UnreachableError(address, str(error)) from error
    if uri.secure or not is_loopback(uri.host):
        what = "beyond this machine it takes the text of the relay's QR code"
        raise UnreachableError(address, what)
    return await _opened(address, ClientConnection, None)


async def _pinned(relay: RelayAddress) -> ClientConnection:
    made: list[_Connection] = []

    class Expecting(_Connection):
        expected: bytes | None = relay.certificate

        def __init__(self, protocol: ClientProtocol, **options: Any) -> None:
            super().__init__(protocol, **options)
            made.append(self)

    try:
        return await _opened(relay.url, Expecting, _context())
    except UnreachableError as error:
        if any(one.shown and not one.is_expected for one in made):
            what = "its certificate is not the one that was given out"
            raise WrongCertificateError(relay.url, what) from error
        raise


async def connected_to_any(host: str, port: int) -> tuple[ClientConnection, bytes]:
    """A connection to whoever answers, and the hash of the certificate shown there.

    Only for what proves by itself that the other end is the right one.

    Raises:
        UnreachableError: nobody answers there.
    """
    socket = await _opened(f"wss://{host}:{port}", _Connection, _context())
    assert isinstance(socket, _Connection)
    return socket, socket.shown


def _context() -> ssl.SSLContext:
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    context.minimum_version = ssl.TLSVersion.TLSv1_3
    context.check_hostname = False
    context.verify_mode = ssl.CERT_NONE
    return context


async def _opened(
    url: str, connection: type[ClientConnection], tls: ssl.SSLContext | None
) -> ClientConnection:
    try:
        return await connect(
            url,
            create_connection=connection,
            ssl=tls,
            compression=None,
            open_timeout=OPEN_S,
            close_timeout=CLOSE_S,
            max_size=MOST_BYTES,
            max_queue=MOST_WAITING,
            proxy=None,
        )
    except (OSError, InvalidURI, InvalidHandshake, TimeoutError) as error:
        raise UnreachableError(url, str(error) or "no answer") from error
