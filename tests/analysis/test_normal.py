import numpy as np
from scipy import stats

from analysis.normal import log_normal_tail, normal_points, normal_tail


def test_tail_density_and_ratio_agree_with_scipy() -> None:
    z = np.linspace(-30.0, 8.0, 3000)
    share, density, ratio = normal_tail(z)
    np.testing.assert_allclose(share, stats.norm.cdf(z), rtol=2e-6, atol=1e-300)
    np.testing.assert_allclose(density, stats.norm.pdf(z), rtol=1e-12)
    log_ratio = stats.norm.logpdf(z) - stats.norm.logcdf(z)
    np.testing.assert_allclose(ratio, np.exp(log_ratio), rtol=2e-6)
    np.testing.assert_allclose(log_normal_tail(z), stats.norm.logcdf(z), rtol=2e-6, atol=1e-7)


def test_far_below_nothing_breaks() -> None:
    z = np.array([-1e3, -60.0, 60.0])
    for array in (*normal_tail(z), log_normal_tail(z)):
        assert np.isfinite(array).all()


def test_points_are_spread_like_independent_normals() -> None:
    points = normal_points(384, 6)
    np.testing.assert_allclose(points.mean(axis=0), 0.0, atol=1e-12)
    np.testing.assert_allclose(np.cov(points.T), np.eye(6), atol=0.1)
    for column in points.T:
        assert stats.kstest(column, "norm").statistic < 0.035  # random ones: 0.044
