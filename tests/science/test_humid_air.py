# SPDX-License-Identifier: MIT
"""Properties of dew point and deliquescence; outside values are `tests/evidence/chemistry_air.toml`."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brackish.errors import InputError
from brackish.science import deliquescence, humid_air
from brackish.science.data.deliquescence import DELIQUESCENCE
from tests.examples import examples

derandomised = examples(60)


@derandomised
@given(air=st.floats(0.0, 50.0), humidity=st.floats(5.0, 100.0))
def test_dew_point_agrees_with_psychrolib(air, humidity):
    psychrolib = pytest.importorskip("psychrolib")
    psychrolib.SetUnitSystem(psychrolib.SI)
    ashrae = psychrolib.GetTDewPointFromRelHum(air, humidity / 100.0)
    if ashrae > 0.0:  # below, psychrolib gives the frost point and this program the dew point over water
        assert humid_air.dew_point(air_temperature=air, relative_humidity=humidity) == pytest.approx(ashrae, abs=0.05)


@derandomised
@given(air=st.floats(-20.0, 55.0), humidity=st.floats(20.0, 99.0))
def test_dew_point_rises_with_humidity_and_stays_below_air(air, humidity):
    dew = humid_air.dew_point(air_temperature=air, relative_humidity=humidity)
    assert dew < humid_air.dew_point(air_temperature=air, relative_humidity=humidity + 1.0) <= air + 1e-9
    assert humid_air.condensation_margin(surface_temperature=dew, air_temperature=air, relative_humidity=humidity) == 0.0


def test_dew_point_under_zero_is_over_water():
    """0.5 degC, 90 %: -0.95 over water, where the frost point of psychrolib is -0.84."""
    assert humid_air.dew_point(air_temperature=0.5, relative_humidity=90.0) == pytest.approx(-0.951, abs=0.0005)


@pytest.mark.parametrize("salt", sorted(DELIQUESCENCE))
def test_deliquescence_follows_its_points(salt):
    points = DELIQUESCENCE[salt].points
    for temperature, humidity in points:
        assert deliquescence.humidity(salt=salt, temperature=temperature) == pytest.approx(humidity, rel=1e-14)
    (cold, first), (warm, second) = points[:2]
    assert deliquescence.humidity(salt=salt, temperature=(cold + warm) / 2.0) == pytest.approx((first + second) / 2.0)


def test_magnesium_and_calcium_chloride_wet_steel_long_before_nacl():
    assert (
        deliquescence.humidity(salt="CaCl2") < deliquescence.humidity(salt="MgCl2") < deliquescence.humidity(salt="FeCl2") < deliquescence.humidity(salt="NaCl")
    )


@pytest.mark.parametrize("bad", [{"air_temperature": float("nan")}, {"relative_humidity": float("nan")}, {"relative_humidity": 0.0}])
def test_impossible_air_is_refused(bad):
    with pytest.raises(InputError):
        humid_air.dew_point(**{"air_temperature": 20.0, "relative_humidity": 60.0} | bad)
