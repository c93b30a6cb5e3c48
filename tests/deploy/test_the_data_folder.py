"""One folder holds all that one machine keeps; two clones never share one."""
import os
import stat
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from deploy.data import LONGEST_SOCKET_PATH, broker_url, data_folder, kept_secret, socket_path


def test_without_a_wish_it_lies_beside_the_code(tmp_path):
    assert data_folder(tmp_path) == tmp_path / ".farbench"
    assert data_folder(tmp_path, str(tmp_path / "elsewhere")) == tmp_path / "elsewhere"


def test_a_secret_is_made_once_and_only_its_owner_can_read_it(tmp_path):
    path = tmp_path / "secret-key"
    first = kept_secret(path)
    assert len(first) >= 50 and kept_secret(path) == first
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_of_many_who_start_at_once_all_get_the_same_secret(tmp_path):
    with ThreadPoolExecutor(16) as pool:
        secrets = set(pool.map(kept_secret, [tmp_path / "secret-key"] * 64))
    assert len(secrets) == 1
    assert os.listdir(tmp_path) == ["secret-key"]


def test_the_broker_listens_in_the_data_folder():
    assert socket_path(Path("/srv/bench/.farbench")) == Path("/srv/bench/.farbench/broker/broker.sock")


def test_a_path_too_long_for_a_socket_moves_to_a_short_place_of_its_own():
    long, other = (Path("/srv") / (letter * 120) for letter in "ab")
    assert len(os.fsencode(socket_path(long))) <= LONGEST_SOCKET_PATH
    assert socket_path(long) != socket_path(other)


def test_a_path_with_unusual_signs_is_kept_out_of_the_brokers_address():
    assert "#" not in broker_url(Path("/srv/bench #2/.farbench"))
