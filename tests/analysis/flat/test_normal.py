import numpy as np
from scipy import stats

from analysis.flat.normal import log_normal_tail, log_tail_and_ratio, normal_points


def test_logarithm_and_ratio_agree_with_scipy() -> None:
    z = np.linspace(-30.0, 8.0, 3000)
    log_share, ratio = log_tail_and_ratio(z)
    np.testing.assert_allclose(log_share, stats.norm.logcdf(z), rtol=2e-6, atol=1e-7)
    log_ratio = stats.norm.logpdf(z) - stats.norm.logcdf(z)
    np.testing.assert_allclose(ratio, np.exp(log_ratio), rtol=2e-6)
    np.testing.assert_array_equal(log_normal_tail(z), log_share)


def test_far_off_nothing_breaks() -> None:
    for array in log_tail_and_ratio(np.array([-1e3, -60.0, 60.0])):
        assert np.isfinite(array).all()


def test_points_are_spread_like_independent_normals() -> None:
    points = normal_points(384, 6)
    np.testing.assert_allclose(points.mean(axis=0), 0.0, atol=1e-12)
    np.testing.assert_allclose(np.cov(points.T), np.eye(6), atol=0.1)
    for column in points.T:
        assert stats.kstest(column, "norm").statistic < 0.035  # random ones: 0.044
