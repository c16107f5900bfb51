// SPDX-License-Identifier: GPL-3.0-or-later
#include "scan/response_file.hpp"
