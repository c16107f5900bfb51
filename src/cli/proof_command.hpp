// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <filesystem>

#include "basefog/print/proof.hpp"
#include "cli/roll_options.hpp"

namespace basefog::cli {

enum class ProofPrints { straight, corrected, both };

/// The words of `basefog proof`, as given.
struct ProofArguments {
  RollArguments roll;
  std::filesystem::path out;
  ProofPrints prints = ProofPrints::both;
  print::ProofOptions proof;
  bool sheet_only = false;
};

/// Reviews the roll and writes its proofs and contact sheets. Returns an ExitStatus; throws
/// InputError.
int run_proof(const ProofArguments& arguments);

/// `basefog proof SCANS...`
void add_proof_command(CLI::App& app, int& status);

}  // namespace basefog::cli
