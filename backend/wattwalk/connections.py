"""The web server's connections: many may lie idle or come slowly, none may keep others out, and none holds a thread while it waits.

waitress reads whole requests and sends whole answers by one loop; threads see nothing of a slow line. Its own loop looks at every connection
each time that something happens on one: with 2,000 idle ones a short request took 50 ms, and seconds when they came all at once. The loop here
keeps what it waits for at the system, and looks at those alone where something happened. And connections end: one that lies idle, one whose
request or answer does not get on, and, when there are as many as the server may hold, those that have finished nothing for longest.
"""

from __future__ import annotations

import logging
import resource
import selectors
import socket
import time
from collections import deque
from collections.abc import Callable
from typing import Any

from waitress import wasyncore
from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer
from waitress.task import ThreadedTaskDispatcher

log = logging.getLogger(__name__)

#: Connections the server holds at most, if it may open as many files.
MOST_CONNECTIONS = 4_000
#: Files that are left for the database, photos and answers under way.
SPARE_FILES = 500
#: Of a server that may open only very few files.
FEWEST_CONNECTIONS = 100
#: Seconds that a connection may lie idle; a browser opens another one without a word.
IDLE_S = 60
#: Seconds that a request may take to come, or an answer to go, beginning and end. A phone gives a photo 120.
WAY_S = 150
#: Seconds between two looks for connections that have had their time.
LOOK_S = 5
#: From this share of all on, the log speaks of it, once a minute.
NEARLY_FULL = 0.9
WORDS_EVERY_S = 60.0
#: The share that ends at once when all are taken: one by one would mean a look at all of them for each.
ENDS_TOGETHER = 0.05
#: New connections that one turn of the loop takes in.
ACCEPTED_TOGETHER = 16
#: Bytes of an answer that may wait for a slow reader before the thread would have to: more than any answer has.
ANSWER_BYTES = 1 << 30
#: Requests that are taken from one connection before the first is answered. No browser sends a second one; each may need a file till its answer has gone.
MOST_AT_ONCE = 2


class Connection(HTTPChannel):
    """One connection, which knows since when nothing has been finished on it."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self.finished_at: float = self.creation_time
        self.began_at: float | None = None
        self._ends_after_these = False

    def received(self, data: bytes) -> bool:
        """Take what has come; whoever sends many requests ahead gets the first ones answered."""
        taken = super().received(data)
        with self.requests_lock:
            if len(self.requests) > MOST_AT_ONCE:
                for request in self.requests[MOST_AT_ONCE:]:
                    request.close()
                del self.requests[MOST_AT_ONCE:]
                self._ends_after_these = True
        if self.began_at is None:
            self.began_at = time.time()
        return taken

    def add_channel(self, map: Any = None) -> None:
        """Let the server wait for it."""
        super().add_channel(map)
        self.server.touch(self)

    def del_channel(self, map: Any = None) -> None:
        """Let the server wait for it no more."""
        self.server.forget(self._fileno)
        super().del_channel(map)

    def write_soon(self, data: Any) -> int:
        """Take a piece of an answer; what the line does not take at once the loop sends."""
        written: int = super().write_soon(data)
        if self.total_outbufs_len:
            self.server.touch(self, wakes=True)
        return written

    def service(self) -> None:
        """Answer one request."""
        super().service()
        self.finished_at = time.time()
        self.began_at = None if not self.requests and self.request is None else self.finished_at
        if self._ends_after_these and not self.requests:
            self.close_when_flushed = True
        self.server.touch(self, wakes=True)

    def is_at_work(self) -> bool:
        """Say whether a thread is or will be at a request of it."""
        return bool(self.requests)

    def is_due(self, now: float) -> bool:
        """Say whether it has had its time: idle, half a request that does not end, or an answer that is not taken."""
        if self.is_at_work():
            return False
        if self.total_outbufs_len:
            return now - self.finished_at > WAY_S or now - self.last_activity > IDLE_S
        if self.request is not None and self.began_at is not None:
            return now - self.began_at > WAY_S or now - self.last_activity > IDLE_S
        return now - self.last_activity > IDLE_S


class OfficeServer(TcpWSGIServer):
    """waitress' server, which makes room by itself and says so before it has to."""

    channel_class = Connection
    _spoke_at = -WORDS_EVERY_S
    next_channel_cleanup: float

    def __init__(self, *given: Any, **named: Any) -> None:
        self._selector = selectors.DefaultSelector()
        self._watched: dict[int, int] = {}
        #: Connections that may wait for something else than before; threads add to it as well.
        self._touched: deque[Any] = deque()
        super().__init__(*given, **named)

    def touch(self, connection: Any, *, wakes: bool = False) -> None:
        """Look anew at what a connection waits for; from another thread the loop has to be woken."""
        self._touched.append(connection)
        if wakes:
            self.pull_trigger()

    def forget(self, number: int | None) -> None:
        """Wait for a file no more, before it is closed."""
        if number is not None and self._watched.pop(number, 0):
            self._selector.unregister(number)

    def run(self) -> None:
        """Serve until the program is told to end."""
        for one in self._map.values():
            self.touch(one)
        try:
            while self._map:
                self._turn()
        except (SystemExit, KeyboardInterrupt):
            self.task_dispatcher.shutdown()

    def _turn(self) -> None:
        while self._touched:
            self._watch(self._touched.popleft())
        for key, events in self._selector.select(self.adj.asyncore_loop_timeout):
            for event, act in ((selectors.EVENT_READ, wasyncore.read), (selectors.EVENT_WRITE, wasyncore.write)):
                # What was done first may have closed it.
                if events & event and (one := self._map.get(key.fd)) is not None:
                    act(one)
                    self._touched.append(one)
        now = time.time()
        if now >= self.next_channel_cleanup:
            self.next_channel_cleanup = now + self.adj.cleanup_interval
            self.maintenance(now)

    def _watch(self, one: Any) -> None:
        number = one._fileno
        if number is None:
            return  # closed since
        is_listener = one is self
        wanted = (selectors.EVENT_READ if is_listener or one.readable() else 0) | (
            selectors.EVENT_WRITE if not is_listener and one.writable() else 0
        )
        known = self._watched.get(number, 0)
        if wanted == known:
            return
        if not known:
            self._selector.register(number, wanted)
        elif wanted:
            self._selector.modify(number, wanted)
        else:
            self._selector.unregister(number)
        self._watched[number] = wanted

    def maintenance(self, now: float) -> None:
        """End the connections that have had their time."""
        for connection in list(self.active_channels.values()):
            if connection.is_due(now):
                connection.will_close = True
                self.touch(connection)

    def handle_accept(self) -> None:
        """Take a new connection, in place of others when there are as many as there may be."""
        held, most = len(self.active_channels), self.adj.connection_limit
        if held >= NEARLY_FULL * most and time.monotonic() - self._spoke_at >= WORDS_EVERY_S:
            self._spoke_at = time.monotonic()
            log.warning(
                "%d of at most %d connections are open. When all are taken, those that have done nothing for longest are ended. "
                "Many that lie idle or come very slowly are a fault in a network, or somebody who wants to keep others out.",
                held,
                most,
            )
        if held + ACCEPTED_TOGETHER > most:
            self._make_room(max(ACCEPTED_TOGETHER, round(ENDS_TOGETHER * most)))
        # All that wait at the door come in together, but not for so long that nobody inside is served.
        for _ in range(ACCEPTED_TOGETHER):
            held = len(self.active_channels)
            super().handle_accept()
            if len(self.active_channels) <= held:
                break

    def _make_room(self, number: int) -> None:
        idle = [connection for connection in self.active_channels.values() if not connection.is_at_work()]
        for connection in sorted(idle, key=lambda item: item.finished_at)[:number]:
            connection.handle_close()


def make_server(
    application: Callable[..., Any], listener: socket.socket, *, threads: int, max_body: int, clear_proxy_headers: bool
) -> OfficeServer:
    """Return a server on a socket that is bound, with as many connections as this machine lets it have."""
    adjustments = Adjustments(
        sockets=[listener],
        threads=threads,
        ident=None,
        max_request_body_size=max_body,
        clear_untrusted_proxy_headers=clear_proxy_headers,
        connection_limit=allowed_connections(),
        channel_timeout=IDLE_S,
        cleanup_interval=LOOK_S,
        backlog=1024,
        asyncore_use_poll=True,
        outbuf_high_watermark=ANSWER_BYTES,
    )
    dispatcher = ThreadedTaskDispatcher()
    dispatcher.set_thread_count(threads)
    # It speaks of every request that waits for a thread.
    dispatcher.queue_logger.setLevel(logging.ERROR)
    address = (listener.family, listener.type, listener.proto, listener.getsockname())
    return OfficeServer(
        application, {}, _sock=listener, dispatcher=dispatcher, adj=adjustments, sockinfo=address, bind_socket=False
    )


def allowed_connections() -> int:
    """Return how many connections may be open, after asking the system for as many files as it takes; say so when that is few."""
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    each = 1 + MOST_AT_ONCE
    wanted = MOST_CONNECTIONS * each + SPARE_FILES
    most = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
    if soft != resource.RLIM_INFINITY and soft < most:
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, hard))
        soft = most
    files = wanted if soft == resource.RLIM_INFINITY else soft
    allowed = max(FEWEST_CONNECTIONS, min(MOST_CONNECTIONS, (files - SPARE_FILES) // each))
    if allowed < MOST_CONNECTIONS:
        log.warning(
            "This system lets a program open %d files, so at most %d connections are held at once. `ulimit -n %d` allows all %d.",
            files,
            allowed,
            wanted,
            MOST_CONNECTIONS,
        )
    return allowed
