import pytest


@pytest.fixture
def browser(tuner, signed_in):
    return signed_in(tuner)
