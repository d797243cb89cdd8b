"""What is fuzzed in each run on the same inputs is fuzzed by the audit on many new ones."""

from pathlib import Path

import pytest
from spoiling import is_audit

HERE = Path(__file__).parent


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items):
    for item in items:
        if is_audit() and HERE in item.path.parents:
            item.add_marker(pytest.mark.audit)
