"""Settings: what is wrong is said at once, by name, and a secret never stands in an error."""

import pytest

from bot.doors.settings import Unusable, database_path, from_environ

TOKEN = "123456:a-token_of-letters"


def test_a_token_in_the_environment_is_enough():
    settings = from_environ({"BUCKETBELL_TOKEN": TOKEN})
    assert (settings.token, str(settings.db), settings.base_url) == (TOKEN, "bucketbell.db", None)


def test_a_token_is_read_from_the_file_named(tmp_path):
    (tmp_path / "token").write_text(TOKEN + "\n")
    assert from_environ({"BUCKETBELL_TOKEN_FILE": str(tmp_path / "token")}).token == TOKEN


def test_a_missing_token_names_both_ways_to_give_it():
    with pytest.raises(Unusable, match=r"BUCKETBELL_TOKEN.*BUCKETBELL_TOKEN_FILE"):
        from_environ({})


def test_a_missing_token_file_is_named(tmp_path):
    with pytest.raises(Unusable, match=r"no-such-file \(named by BUCKETBELL_TOKEN_FILE\)"):
        from_environ({"BUCKETBELL_TOKEN_FILE": str(tmp_path / "no-such-file")})


@pytest.mark.parametrize("bad", ["12345678901", "123:with space", "'123456:quoted-token'", "123456:"])
def test_a_token_of_the_wrong_form_is_refused_without_showing_it(bad):
    with pytest.raises(Unusable) as fault:
        from_environ({"BUCKETBELL_TOKEN": bad})
    assert "BUCKETBELL_TOKEN" in str(fault.value) and bad not in str(fault.value)


def test_all_faults_are_said_at_once_each_on_one_line():
    with pytest.raises(Unusable) as fault:
        from_environ({"BUCKETBELL_BASE_URL": "localhost:8081"}, {"base_file_url": "ftp://x"})
    assert len(fault.value.lines) == 3
    assert not any("\n" in line for line in fault.value.lines)


def test_an_option_goes_before_the_environment():
    environ = {"BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_DB": "a.db", "BUCKETBELL_BASE_URL": "http://one/bot"}
    settings = from_environ(environ, {"db": "b.db", "base_url": "http://two/bot"})
    assert (str(settings.db), settings.base_url) == ("b.db", "http://two/bot")
    assert str(database_path(environ)) == "a.db"


def test_the_file_address_follows_from_the_other_one():
    environ = {"BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_BASE_URL": "http://box:8081/bot"}
    assert from_environ(environ).base_file_url == "http://box:8081/file/bot"
    assert from_environ(environ, {"base_file_url": "http://else/f"}).base_file_url == "http://else/f"


def test_the_printed_form_holds_no_secret():
    environ = {"BUCKETBELL_TOKEN": TOKEN, "BUCKETBELL_WEBHOOK_SECRET": "s" * 20}
    shown = repr(from_environ(environ))
    assert "a-token_of" not in shown and "sssss" not in shown
