// SPDX-License-Identifier: GPL-3.0-or-later
// Parameters of films as vectors and matrices.
#pragma once

#include <Eigen/Dense>

#include "basefog/film/film_belief.hpp"

namespace basefog::film {

inline constexpr int kFilmParameters = static_cast<int>(kCountOf<FilmParameter>);
using ParameterVector = Eigen::Matrix<double, kFilmParameters, 1>;
using ParameterMatrix = Eigen::Matrix<double, kFilmParameters, kFilmParameters>;

inline ParameterVector vector_of(const FilmNumbers& numbers) {
  return Eigen::Map<const ParameterVector>(numbers.values.data());
}

inline FilmNumbers numbers_of(const ParameterVector& vector) {
  FilmNumbers numbers;
  Eigen::Map<ParameterVector>(numbers.values.data()) = vector;
  return numbers;
}

inline ParameterMatrix matrix_of(const FilmMatrix& rows) {
  ParameterMatrix matrix;
  for (int i = 0; i < kFilmParameters; ++i) {
    matrix.row(i) = vector_of(rows.values[static_cast<std::size_t>(i)]);
  }
  return matrix;
}

inline FilmMatrix rows_of(const ParameterMatrix& matrix) {
  FilmMatrix rows;
  for (int i = 0; i < kFilmParameters; ++i) {
    rows.values[static_cast<std::size_t>(i)] = numbers_of(matrix.row(i));
  }
  return rows;
}

/// Evidence of which directions with an information of zero and less are left out.
FilmEvidence rising_only(const ParameterMatrix& information, const ParameterVector& toward);

}  // namespace basefog::film
