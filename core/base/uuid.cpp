// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/base/uuid.h"

#include <boost/uuid/random_generator.hpp>
#include <boost/uuid/uuid_io.hpp>

namespace moundwork {

std::string new_uuid() { return to_string(boost::uuids::random_generator()()); }

}  // namespace moundwork
