// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/session/schema.h"

#include <array>
#include <cstddef>
#include <stdexcept>
#include <utility>

namespace moundwork::session::schema {
namespace {

struct Member {
  const char* name;
  std::size_t offset;
  H5::DataType type;
};

H5::CompType compound(std::size_t size, const std::vector<Member>& members) {
  H5::CompType type(size);
  for (const Member& member : members) type.insertMember(member.name, member.offset, member.type);
  return type;
}

H5::DataType integer() { return H5::PredType::NATIVE_INT64; }
H5::DataType real() { return H5::PredType::NATIVE_DOUBLE; }
H5::DataType text(std::size_t size) { return hdf5::text_type(size); }

template <class Value>
using Words = std::vector<std::pair<Value, const char*>>;

const Words<Hand>& hands() {
  static const Words<Hand> words{{Hand::right, "right"}, {Hand::left, "left"}};
  return words;
}
const Words<PlateRole>& roles() {
  static const Words<PlateRole> words{{PlateRole::back, "back"}, {PlateRole::lead, "lead"}};
  return words;
}
const Words<FootLineSource>& foot_line_sources() {
  static const Words<FootLineSource> words{{FootLineSource::markers, "markers"},
                                           {FootLineSource::stances, "stances"},
                                           {FootLineSource::measured_points, "measured points"},
                                           {FootLineSource::foot_length, "foot length"}};
  return words;
}
const Words<SampleType>& sample_types() {
  static const Words<SampleType> words{{SampleType::int16, "int16"},
                                       {SampleType::int32, "int32"},
                                       {SampleType::float32, "float32"},
                                       {SampleType::float64, "float64"}};
  return words;
}

template <class Value>
std::string word_for(const Words<Value>& words, Value value) {
  for (const auto& [known, word] : words)
    if (known == value) return word;
  throw std::logic_error("a value without a word in the schema");
}

template <class Value>
Value value_for(const Words<Value>& words, const std::string& text) {
  for (const auto& [known, word] : words)
    if (text == word) return known;
  throw std::invalid_argument("the word '" + text + "' is not part of the session format");
}

}  // namespace

const H5::CompType& block_type() {
  static const auto type =
      compound(sizeof(BlockRow), {{"first_sample", offsetof(BlockRow, first_sample), integer()},
                                  {"ticks", offsetof(BlockRow, ticks), integer()},
                                  {"arrival", offsetof(BlockRow, arrival), real()},
                                  {"missing_before", offsetof(BlockRow, missing_before), integer()},
                                  {"check", offsetof(BlockRow, check), integer()}});
  return type;
}

const H5::CompType& release_type() {
  static const auto type =
      compound(sizeof(ReleaseRow),
               {{"time", offsetof(ReleaseRow, time), real()},
                {"u", offsetof(ReleaseRow, u), real()},
                {"source", offsetof(ReleaseRow, source), text(sizeof(ReleaseRow::source))}});
  return type;
}

const H5::CompType& edit_type() {
  static const auto type = compound(
      sizeof(EditRow), {{"id", offsetof(EditRow, id), text(sizeof(EditRow::id))},
                        {"when", offsetof(EditRow, when), text(sizeof(EditRow::when))},
                        {"who", offsetof(EditRow, who), text(sizeof(EditRow::who))},
                        {"why", offsetof(EditRow, why), text(sizeof(EditRow::why))},
                        {"throw_contact", offsetof(EditRow, throw_contact), real()},
                        {"action", offsetof(EditRow, action), text(sizeof(EditRow::action))},
                        {"target", offsetof(EditRow, target), text(sizeof(EditRow::target))},
                        {"value", offsetof(EditRow, value), real()},
                        {"u", offsetof(EditRow, u), real()},
                        {"unit", offsetof(EditRow, unit), text(sizeof(EditRow::unit))},
                        {"text", offsetof(EditRow, text), text(sizeof(EditRow::text))},
                        {"frame", offsetof(EditRow, frame), real()},
                        {"landing_frame", offsetof(EditRow, landing_frame), real()},
                        {"rate", offsetof(EditRow, rate), real()},
                        {"undoes", offsetof(EditRow, undoes), text(sizeof(EditRow::undoes))}});
  return type;
}

const H5::CompType& run_type() {
  static const auto type = compound(
      sizeof(RunRow), {{"run", offsetof(RunRow, run), integer()},
                       {"made", offsetof(RunRow, made), text(sizeof(RunRow::made))},
                       {"software", offsetof(RunRow, software), text(sizeof(RunRow::software))},
                       {"settings_first", offsetof(RunRow, settings_first), integer()},
                       {"settings_length", offsetof(RunRow, settings_length), integer()},
                       {"throws_first", offsetof(RunRow, throws_first), integer()},
                       {"throws_count", offsetof(RunRow, throws_count), integer()},
                       {"values_first", offsetof(RunRow, values_first), integer()},
                       {"values_count", offsetof(RunRow, values_count), integer()},
                       {"flags_first", offsetof(RunRow, flags_first), integer()},
                       {"flags_count", offsetof(RunRow, flags_count), integer()},
                       {"edits_known", offsetof(RunRow, edits_known), integer()}});
  return type;
}

const H5::CompType& throw_type() {
  static const auto type =
      compound(sizeof(ThrowRow), {{"run", offsetof(ThrowRow, run), integer()},
                                  {"number", offsetof(ThrowRow, number), integer()},
                                  {"contact", offsetof(ThrowRow, contact), real()}});
  return type;
}

const H5::CompType& value_type() {
  static const auto type =
      compound(sizeof(ValueRow), {{"run", offsetof(ValueRow, run), integer()},
                                  {"number", offsetof(ValueRow, number), integer()},
                                  {"kind", offsetof(ValueRow, kind), text(sizeof(ValueRow::kind))},
                                  {"key", offsetof(ValueRow, key), text(sizeof(ValueRow::key))},
                                  {"value", offsetof(ValueRow, value), real()},
                                  {"u", offsetof(ValueRow, u), real()},
                                  {"unit", offsetof(ValueRow, unit), text(sizeof(ValueRow::unit))},
                                  {"u_shared", offsetof(ValueRow, u_shared), real()}});
  return type;
}

const H5::CompType& flag_type() {
  static const auto type = compound(
      sizeof(FlagRow), {{"run", offsetof(FlagRow, run), integer()},
                        {"number", offsetof(FlagRow, number), integer()},
                        {"key", offsetof(FlagRow, key), text(sizeof(FlagRow::key))},
                        {"target", offsetof(FlagRow, target), text(sizeof(FlagRow::target))},
                        {"detail", offsetof(FlagRow, detail), text(sizeof(FlagRow::detail))}});
  return type;
}

const H5::PredType& stored_type(SampleType type) {
  switch (type) {
    case SampleType::int16:
      return H5::PredType::STD_I16LE;
    case SampleType::int32:
      return H5::PredType::STD_I32LE;
    case SampleType::float32:
      return H5::PredType::IEEE_F32LE;
    case SampleType::float64:
      return H5::PredType::IEEE_F64LE;
  }
  throw std::logic_error("unknown sample type");
}

std::string to_text(Hand hand) { return word_for(hands(), hand); }
std::string to_text(PlateRole role) { return word_for(roles(), role); }
std::string to_text(FootLineSource source) { return word_for(foot_line_sources(), source); }
std::string to_text(SampleType type) { return word_for(sample_types(), type); }
Hand hand_from(const std::string& text) { return value_for(hands(), text); }
FootLineSource foot_line_source_from(const std::string& text) {
  return value_for(foot_line_sources(), text);
}
SampleType sample_type_from(const std::string& text) { return value_for(sample_types(), text); }

}  // namespace moundwork::session::schema
