// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/cli/error_words.h"

namespace moundwork::cli {
namespace {

/// Empty where the neutral advice does.
std::string option_words(Remedy remedy) {
  switch (remedy) {
    case Remedy::none:
      return {};
    case Remedy::another_place:
      return "choose another place with --out";
    case Remedy::another_place_or_replace:
      return "choose another place with --out, or replace it with --force";
    case Remedy::another_file_or_continue:
      return "name another file, or go on with this one by --continue";
    case Remedy::lab_key:
      return "name the file with --key, or bring the right one back from a backup";
    case Remedy::measure:
      return "run moundwork analyse on it first";
    case Remedy::import_it:
      return "use 'moundwork import' for other recordings";
    case Remedy::settings_file:
      return "add --settings with a settings file";
    case Remedy::body_mass:
      return "add --mass, as in 88.5kg";
    case Remedy::throwing_hand:
      return "add --throws right or left";
    case Remedy::back_plate:
      return "name it with --back-plate";
    case Remedy::lead_plate:
      return "name it with --lead-plate";
    case Remedy::make_index:
      return "make one with moundwork index rebuild FOLDER";
    case Remedy::make_index_again:
      return "move the file away and make the index again with moundwork index rebuild FOLDER";
    case Remedy::another_index:
      return "name another file with --index; moundwork index rebuild FOLDER makes a new one";
    case Remedy::list_athletes:
      return "moundwork index list shows them";
    case Remedy::forget_again:
      return "run moundwork forget again";
  }
  return {};
}

}  // namespace

std::string error_words(const Error& error) {
  const std::string words = option_words(error.remedy);
  return words.empty() ? error.sentence() : Error{error.where, error.what, words}.sentence();
}

}  // namespace moundwork::cli
