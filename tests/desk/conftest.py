"""Documents issued by the desk and by the demo are judged like those of tests/billing."""

from tests.billing.conftest import every_document_is_judged

__all__ = ["every_document_is_judged"]
