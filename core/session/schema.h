// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <limits>
#include <string>

#include "core/session/hdf5.h"
#include "core/session/session.h"

/// The session file's layout (docs/files.md), shared by writer and reader; private to core/session.
namespace moundwork::session::schema {

inline constexpr const char* format_name = "moundwork-session";
inline constexpr std::int64_t version = 1;
/// Of the companion. Version 1 has no session_id and knows an edit by its row.
inline constexpr std::int64_t companion_version = 2;

struct BlockRow {
  std::int64_t first_sample, ticks;
  double arrival;
  std::int64_t missing_before;
  std::int64_t check;  ///< of the members above and the block's samples; 0 where nobody made one
};
struct ReleaseRow {
  double time, u;
  hdf5::Text<96> source;
};
struct EditRow {
  hdf5::Text<40> id;
  hdf5::Text<40> when;
  hdf5::Text<64> who;
  hdf5::Text<256> why;
  double throw_contact;
  hdf5::Text<32> action;
  hdf5::Text<48> target;
  double value;
  double u;  ///< not in the first companions made: read as 0
  hdf5::Text<16> unit;
  hdf5::Text<256> text;
  double frame, landing_frame, rate;
  hdf5::Text<40> undoes;
};
/// One analysis. Written last of all its rows: an analysis without its run row did not finish.
struct RunRow {
  std::int64_t run;
  hdf5::Text<40> made;
  hdf5::Text<64> software;
  std::int64_t settings_first, settings_length, throws_first, throws_count, values_first,
      values_count, flags_first, flags_count;
  std::int64_t edits_known;  ///< so many edits, from the first, were there for the analysis to see
};
struct ThrowRow {
  std::int64_t run, number;
  double contact;
};
struct ValueRow {
  std::int64_t run, number;
  hdf5::Text<16> kind;  ///< "event" or "quantity"
  hdf5::Text<48> key;
  double value, u;
  hdf5::Text<16> unit;
  /// Of `u`, what all throws share; not in the first companions made: read as NaN.
  double u_shared = std::numeric_limits<double>::quiet_NaN();
};
struct FlagRow {
  std::int64_t run, number;
  hdf5::Text<48> key;
  hdf5::Text<48> target;
  hdf5::Text<256> detail;
};

[[nodiscard]] const H5::CompType& block_type();
[[nodiscard]] const H5::CompType& release_type();
[[nodiscard]] const H5::CompType& edit_type();
[[nodiscard]] const H5::CompType& run_type();
[[nodiscard]] const H5::CompType& throw_type();
[[nodiscard]] const H5::CompType& value_type();
[[nodiscard]] const H5::CompType& flag_type();

[[nodiscard]] const H5::PredType& stored_type(SampleType type);

[[nodiscard]] std::string to_text(Hand hand);
[[nodiscard]] std::string to_text(PlateRole role);
[[nodiscard]] std::string to_text(FootLineSource source);
[[nodiscard]] std::string to_text(SampleType type);
/// Throw std::invalid_argument on a word that the schema does not know.
[[nodiscard]] Hand hand_from(const std::string& text);
[[nodiscard]] FootLineSource foot_line_source_from(const std::string& text);
[[nodiscard]] SampleType sample_type_from(const std::string& text);

}  // namespace moundwork::session::schema
