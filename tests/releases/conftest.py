from __future__ import annotations

import pytest

from measurements.models import SizeChart
from releases.models import Pattern, Version
from tests.factories import Cast, make_cast, make_chart
from tests.releases.things import make_pattern, make_version


@pytest.fixture
def cast(db: None) -> Cast:
    return make_cast()


@pytest.fixture
def chart(cast: Cast) -> SizeChart:
    return make_chart(cast.studio)


@pytest.fixture
def pattern(cast: Cast, chart: SizeChart) -> Pattern:
    return make_pattern(cast.studio, cast.owner, chart=chart)


@pytest.fixture
def version(cast: Cast, chart: SizeChart, pattern: Pattern) -> Version:
    return make_version(pattern, chart, cast.owner)
