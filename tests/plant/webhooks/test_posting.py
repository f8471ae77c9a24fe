"""One POST: what receivers may do to us, and where we let nobody send us."""

import socket
import time

import pytest

from plant.services import webhook_posting
from plant.webhooks.answers import Answer, Fault
from plant.webhooks.networks import NOTHING, Allowed, read_allowed
from tests.plant.webhooks import receiver as receivers
from tests.plant.webhooks.names import Names
from tests.plant.webhooks.receiver import Receiver
from tests.plant.webhooks.targets import LOOPBACK


def post(address: str, allowed: Allowed = LOOPBACK, whole_s: float = 20.0) -> Answer:
    return webhook_posting.post(address, {"webhook-id": "1"}, b'{"a": 1}', allowed, whole_s)


def test_what_is_sent_comes_as_it_is_with_its_headers(receiver: Receiver) -> None:
    answer = post(receiver.address("/in?x=1"))

    assert answer.is_taken
    [got] = receiver.got
    assert got.path == "/in?x=1"
    assert got.body == b'{"a": 1}'
    assert got.headers["content-type"] == "application/json"
    assert got.headers["webhook-id"] == "1"
    assert got.headers["host"] == f"127.0.0.1:{receiver.port}"


def test_an_ipv6_address_is_named_to_its_machine_in_brackets() -> None:
    allowed = read_allowed(["::1"])
    with receivers.receiving(host="::1") as receiver:
        assert post(receiver.address(host="[::1]"), allowed).is_taken

    assert receiver.got[0].headers["host"] == f"[::1]:{receiver.port}"


def test_no_private_address_is_asked_unless_it_is_allowed(receiver: Receiver) -> None:
    assert post(receiver.address(), NOTHING).fault is Fault.NOT_ALLOWED
    assert not receiver.got


@pytest.mark.parametrize("host", ["2130706433", "0x7f.1", "127.1", "localhost", "[::1]", "0"])
def test_other_ways_to_write_this_machine_are_seen_through(receiver: Receiver, host: str) -> None:
    answer = post(receiver.address(host=host), NOTHING)

    assert answer.fault in {Fault.NOT_ALLOWED, Fault.NO_SUCH_NAME}
    assert not receiver.got


def test_a_name_with_one_private_address_among_public_ones_is_refused(
    receiver: Receiver, names: Names
) -> None:
    names("stores.example", ["8.8.8.8", "10.1.2.3"])

    assert post(receiver.address(host="stores.example")).fault is Fault.NOT_ALLOWED


def test_the_connection_goes_to_the_address_that_was_checked(
    receiver: Receiver, names: Names
) -> None:
    """A name service that answers differently the second time is not asked a second time."""
    names("receiver.plant.example", ["127.0.0.1"], ["8.8.8.8"])

    assert post(receiver.address(host="receiver.plant.example")).is_taken
    assert receiver.got[0].headers["host"] == f"receiver.plant.example:{receiver.port}"


def test_a_name_that_turns_private_after_it_was_entered_is_refused(
    receiver: Receiver, names: Names
) -> None:
    names("stores.example", ["127.0.0.1"])

    assert post(receiver.address(host="stores.example"), NOTHING).fault is Fault.NOT_ALLOWED
    assert not receiver.got


def test_a_name_nobody_knows_and_one_that_takes_too_long(
    names: Names, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert post("http://no-such-name.invalid:8080/").fault is Fault.NO_SUCH_NAME

    monkeypatch.setattr(socket, "getaddrinfo", lambda *_args, **_kwargs: time.sleep(1) or [])
    assert post("http://stores.example:8080/", whole_s=0.2).fault is Fault.TOO_SLOW


def test_a_redirect_that_keeps_the_post_is_followed(receiver: Receiver) -> None:
    receiver.answers = receivers.moved("/new", receiver.address("/newer"), status=308)

    assert post(receiver.address()).is_taken
    assert [one.path for one in receiver.got] == ["/in", "/new", "/newer"]
    assert receiver.got[-1].body == b'{"a": 1}'


@pytest.mark.parametrize(
    "to",
    ["http://10.1.2.3/", "http://169.254.169.254/latest", "http://[::1]:8000/", "//127.0.0.2/"],
)
def test_a_redirect_to_a_private_address_is_not_followed(receiver: Receiver, to: str) -> None:
    receiver.answers = receivers.moved(to)

    assert post(receiver.address()).fault is Fault.NOT_ALLOWED
    assert len(receiver.got) == 1


def test_a_redirect_of_a_public_receiver_to_loopback_is_not_followed(
    receiver: Receiver, names: Names
) -> None:
    """The first hop is allowed by its name; where it sends us is looked at anew."""
    names("receiver.plant.example", ["127.0.0.1"])
    receiver.answers = receivers.moved(receiver.address(host="127.0.0.1"))
    only_by_name = Allowed(hosts=frozenset({"receiver.plant.example"}))

    answer = post(receiver.address(host="receiver.plant.example"), only_by_name)

    assert answer.fault is Fault.NOT_ALLOWED
    assert len(receiver.got) == 1


@pytest.mark.parametrize(
    "to",
    ["file:///etc/passwd", "http://u:p@127.0.0.1/", "http://127.0.0.1:22/", "http://[", "//[x]/"],
)
def test_a_redirect_to_what_could_not_be_entered_is_not_followed(
    receiver: Receiver, to: str
) -> None:
    receiver.answers = receivers.moved(to)

    assert post(receiver.address()).fault is Fault.BAD_ADDRESS


def test_redirects_without_end_and_those_that_drop_the_post_are_not_followed(
    receiver: Receiver,
) -> None:
    receiver.answers = receivers.moved(*["/round"] * 50)
    assert post(receiver.address()).fault is Fault.TOO_MANY_MOVES
    assert len(receiver.got) == 4

    receiver.answers = lambda handler, _asked: handler.say(302, Location="/other")
    answer = post(receiver.address())
    assert (answer.fault, answer.status) == (Fault.MOVED, 302)
    assert not answer.is_taken


def test_a_receiver_that_hangs_costs_the_whole_time_and_no_more(receiver: Receiver) -> None:
    receiver.answers = receivers.hangs(10)

    assert post(receiver.address(), whole_s=0.3).fault is Fault.TOO_SLOW


def test_headers_that_drip_end_with_the_time_there_is(receiver: Receiver) -> None:
    receiver.answers = receivers.drips(b"H", 0.1, 12)

    assert post(receiver.address(), whole_s=0.4).fault in {Fault.TOO_SLOW, Fault.BROKEN_OFF}


def test_a_body_that_drips_does_not_undo_that_it_was_taken(receiver: Receiver) -> None:
    def answer(handler: receivers.Handler, _asked: int) -> None:
        handler.send_response(200)
        handler.send_header("Content-Length", "100")
        handler.end_headers()
        receivers.drips(b"x", 0.1, 60)(handler, 0)

    receiver.answers = answer

    # Long enough for the first line of the answer on a busy machine.
    assert post(receiver.address(), whole_s=1.5).is_taken


def test_of_a_huge_answer_the_beginning_is_kept(receiver: Receiver) -> None:
    receiver.answers = lambda handler, _asked: handler.say(400, b"no\x00t so\n" * 2_000_000)

    answer = post(receiver.address())

    assert answer.status == 400
    assert answer.said.startswith("no t so no t so")
    assert len(answer.said) <= 300


@pytest.mark.parametrize(
    "said", [b"not HTTP at all\r\n\r\n", b"", b"HTTP/1.1 200 OK\r\n" + b"A: b\r\n" * 90000]
)
def test_what_is_no_answer_is_none(receiver: Receiver, said: bytes) -> None:
    receiver.answers = receivers.drips(said, 0, 1)

    assert post(receiver.address()).fault is Fault.BROKEN_OFF


def test_nobody_there_is_no_connection(receiver: Receiver) -> None:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        # Still ours, lest anybody beside us listens there, but nobody is let in.
        port = free.getsockname()[1]

        assert post(f"http://127.0.0.1:{port}/").fault is Fault.NO_CONNECTION


def test_no_proxy_of_the_environment_gets_to_see_it(
    receiver: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("HTTP_PROXY", "http_proxy", "ALL_PROXY"):
        monkeypatch.setenv(name, "http://127.0.0.1:9/")

    assert post(receiver.address()).is_taken


def test_patience_is_heard_in_seconds_and_as_a_date(receiver: Receiver) -> None:
    receiver.answers = lambda handler, _asked: handler.say(429, Retry_After="120")
    assert post(receiver.address()).asked_s == 120

    far = "Fri, 31 Dec 2199 23:59:59 GMT"
    receiver.answers = lambda handler, _asked: handler.say(503, Retry_After=far)
    assert (post(receiver.address()).asked_s or 0) > 3600

    for unreadable in ("soon", "Mon, 1 Jan 2026 00:00:00 +99999999999999"):
        receiver.answers = lambda handler, _asked, said=unreadable: handler.say(
            503, Retry_After=said
        )
        answer = post(receiver.address())
        assert (answer.status, answer.asked_s) == (503, None)
