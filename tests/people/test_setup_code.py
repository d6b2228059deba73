"""The one-time code of a place without a tuner."""

import pytest
from django.core.exceptions import ValidationError

from jobs.people import setup_code
from jobs.people.enums import Role
from jobs.people.models import SetupCode, User
from tests.queries import queries

pytestmark = pytest.mark.django_db


def enter(code, where_from="192.0.2.7"):
    return setup_code.code_enter(code=code, where_from=where_from)


def test_the_code_is_long_and_kept_only_as_a_hash():
    code = setup_code.code_new()
    assert len(code.replace("-", "")) == 8
    row = SetupCode.objects.get()
    assert code not in row.code_hash
    assert setup_code.code_matches(code)
    assert setup_code.code_matches(code.lower().replace("-", " "))
    assert not setup_code.code_matches("")


def test_the_code_works_once():
    code = setup_code.code_new()
    holder = enter(code)
    assert setup_code.holds_code(holder)
    with pytest.raises(ValidationError, match="no code in force"):
        enter(code)
    assert setup_code.holds_code(holder)


def test_a_new_code_makes_the_one_before_and_its_browser_void():
    earlier = setup_code.code_new()
    holder = enter(earlier)
    code = setup_code.code_new()
    assert not setup_code.holds_code(holder)
    assert not setup_code.code_matches(earlier)
    assert setup_code.code_matches(code)


def test_after_ten_wrong_tries_the_right_code_is_void_too():
    code = setup_code.code_new()
    for number in range(setup_code.WRONG_TRIES):
        with pytest.raises(ValidationError, match="not the code"):
            enter("AAAA-AAA9", where_from=f"192.0.2.{number}")
    with pytest.raises(ValidationError, match="no code in force"):
        enter(code)
    assert enter(setup_code.code_new())


def test_one_address_has_to_wait_after_five_wrong_tries():
    code = setup_code.code_new()
    for _number in range(5):
        with pytest.raises(ValidationError, match="not the code"):
            enter("AAAA-AAA9", where_from="192.0.2.99")
    with pytest.raises(ValidationError, match="Please wait"):
        enter(code, where_from="192.0.2.99")
    assert enter(code, where_from="192.0.2.98")


def test_nothing_opens_once_there_is_a_tuner(tuner):
    SetupCode.objects.create(code_hash=setup_code._code_hash("ABCD-EFGH"))
    assert not setup_code.code_matches("ABCD-EFGH")
    with pytest.raises(setup_code.PlaceIsSet):
        setup_code.code_new()


def test_only_one_of_two_makes_the_first_tuner():
    holder = enter(setup_code.code_new())
    with setup_code.first_tuner(holder):
        User.objects.create(username="tess", role=Role.TUNER)
    with pytest.raises(setup_code.PlaceIsSet), setup_code.first_tuner(holder):
        User.objects.create(username="eve", role=Role.TUNER)
    assert User.objects.count() == 1
    assert not SetupCode.objects.exists()


def test_an_error_while_the_tuner_is_made_leaves_the_browser_its_right():
    holder = enter(setup_code.code_new())
    with pytest.raises(ValueError), setup_code.first_tuner(holder):
        raise ValueError
    assert setup_code.holds_code(holder)


def test_nobody_makes_a_tuner_without_the_code():
    setup_code.code_new()
    with pytest.raises(setup_code.PlaceIsSet), setup_code.first_tuner(""):
        User.objects.create(username="eve", role=Role.TUNER)
    assert not User.objects.exists()


def test_the_place_is_asked_about_no_more_once_there_is_a_tuner(tuner):
    assert not setup_code.place_is_unset()
    with queries() as asked:
        assert not setup_code.place_is_unset()
    assert len(asked) == 0
