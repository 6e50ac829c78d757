// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/table/import_settings.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <fstream>
#include <set>
#include <utility>

#include "core/base/plain_file.h"
#include "core/base/wall_time.h"
#include "core/plate/component_unit.h"
#include "core/plate/lab_axes.h"
#include "core/plate/wrench.h"
#include "core/table/settings_section.h"

namespace moundwork::table {
namespace {

using plate::PlateType;

// A settings file is typed by hand; more than this is another file.
constexpr std::uintmax_t largest_settings = 1 << 20;

void read_file(const toml::table& table, Faults& faults, DelimitedOptions& options) {
  const Section section(table, "[file]", faults,
                        {"separator", "decimal", "skip_lines", "header_rows"});
  if (const auto which = section.choice("separator", {",", ";", "tab"}))
    options.separator = ",;\t"[*which];
  if (const auto which = section.choice("decimal", {".", ","})) options.decimal = ".,"[*which];
  if (options.decimal == ',' && options.separator == ',')
    section.fault_at("decimal", "is ',', which already stands between cells");
  if (const auto lines = section.integer("skip_lines", 0, 1000)) options.skip_lines = *lines;
  if (const auto rows = section.integer("header_rows", 0, 10)) options.header_rows = *rows;
}

void read_time(const toml::table& table, Faults& faults, ImportSettings& settings) {
  const Section section(table, "[time]", faults, {"column", "unit", "rate"});
  if (section.has("column") == section.has("rate"))
    section.fault("needs one of 'column' and 'rate', and not both");
  settings.sample_rate = section.quantity("rate", Dimension::frequency);
  if (section.has("rate") && section.has("unit")) section.fault_at("unit", "belongs to a column");
  if (!section.has("column")) return;
  TimeColumn column{section.needed_text("column"), 1.0};
  if (const auto which = section.choice("unit", {"s", "ms", "us"}))
    column.seconds_per_unit = std::array{1.0, 1e-3, 1e-6}[*which];
  settings.time_column = std::move(column);
}

struct Frame {
  Eigen::Matrix3d to_lab = Eigen::Matrix3d::Identity();
  double metres = 1.0;
};

Frame read_frame(const toml::table& table, Faults& faults) {
  const Section section(table, "[frame]", faults, {"home", "up", "length_unit"});
  Frame frame;
  const auto to_lab =
      plate::lab_axes(section.text("home").value_or("+x"), section.text("up").value_or("+z"), "");
  if (to_lab)
    frame.to_lab = *to_lab;
  else
    section.fault("is wrong: " + to_lab.error().what, to_lab.error().advice);
  if (const auto unit = section.text("length_unit")) {
    const auto factor = unit_factor(*unit, Dimension::length, "");
    if (factor)
      frame.metres = *factor;
    else
      section.fault_at("length_unit", "is wrong: " + factor.error().what, factor.error().advice);
  }
  return frame;
}

session::PlateAccuracy read_accuracy(const toml::table& table, const std::string& name,
                                     Faults& faults) {
  const Section section(table, "'accuracy' of " + name, faults,
                        {"gain", "crosstalk", "zero_force", "cop"});
  session::PlateAccuracy accuracy;
  accuracy.gain = section.number("gain", 0.0, 1.0).value_or(0.0);
  accuracy.crosstalk = section.number("crosstalk", 0.0, 1.0).value_or(0.0);
  accuracy.zero_force = section.quantity("zero_force", Dimension::force, true).value_or(0.0);
  accuracy.cop = section.quantity("cop", Dimension::length, true).value_or(0.0);
  return accuracy;
}

// Without a matrix the columns are the components; each unit gives its factor to SI.
void read_component_units(const Section& section, PlateColumns& plate) {
  const int components = plate::component_count(plate.description.type);
  if (static_cast<int>(plate.names.size()) != components)
    section.fault_at(
        "columns", fmt::format("names {} columns, where a type {} plate has {}", plate.names.size(),
                               static_cast<int>(plate.description.type), components));
  for (std::size_t i = 0; i < plate.units.size() && static_cast<int>(i) < components; ++i) {
    const auto kind = plate::component_kind(plate.description.type, static_cast<int>(i));
    const auto unit = plate::parse_component_unit(plate.units[i]);
    if (!unit || unit->kind != kind) {
      section.fault_at("units", fmt::format("has number {} that cannot be turned into {}", i + 1,
                                            plate::si_symbol(kind)));
      return;
    }
    plate.factors.push_back(unit->factor);
    plate.units[i] = plate::si_symbol(kind);
  }
  plate.description.sensitivity = Eigen::MatrixXd::Identity(components, components);
}

void read_sensitivity(const Section& section, const Eigen::MatrixXd& matrix, PlateColumns& plate) {
  const int components = plate::component_count(plate.description.type);
  if (matrix.rows() != components || matrix.cols() != static_cast<Eigen::Index>(plate.names.size()))
    section.fault_at("sensitivity",
                     fmt::format("is {} x {}, where {} components from {} columns are wanted",
                                 matrix.rows(), matrix.cols(), components, plate.names.size()));
  plate.description.sensitivity = matrix;
  plate.factors.assign(plate.names.size(), 1.0);
}

PlateColumns read_plate(const toml::table& table, std::size_t number, const Frame& frame,
                        Faults& faults) {
  const std::string name = fmt::format("[[plate]] {}", number);
  const Section section(table, name, faults,
                        {"role", "type", "columns", "units", "corners", "origin", "sensitivity",
                         "reaction_sign", "accuracy"});
  for (const char* key : {"role", "type", "columns", "units", "corners"}) section.need(key);
  PlateColumns plate;
  plate::PlateDescription& description = plate.description;
  if (section.choice("role", {"back", "lead"}) == std::size_t{1})
    plate.role = session::PlateRole::lead;
  description.type = static_cast<PlateType>(section.integer("type", 1, 4).value_or(2));
  plate.names = section.texts("columns");
  plate.units = section.texts("units");
  if (plate.units.size() != plate.names.size())
    section.fault_at("units", fmt::format("has {} entries for {} columns", plate.units.size(),
                                          plate.names.size()));

  if (const auto corners = section.matrix("corners")) {
    if (corners->rows() == 4 && corners->cols() == 3) {
      for (int i = 0; i < 4; ++i)
        description.corners[static_cast<std::size_t>(i)] =
            frame.metres * (frame.to_lab * corners->row(i).transpose());
    } else {
      section.fault_at("corners", fmt::format("has {} points of {} coordinates, where 4 of 3 are "
                                              "wanted",
                                              corners->rows(), corners->cols()));
    }
  }
  if (const auto origin = section.point("origin")) description.origin = frame.metres * *origin;
  if (const auto sign = section.integer("reaction_sign", -1, 1)) {
    if (*sign == 0) section.fault_at("reaction_sign", "is 0, where -1 or 1 is wanted");
    description.reaction_sign = *sign;
  }
  if (const toml::table* accuracy = section.table("accuracy"))
    plate.accuracy = read_accuracy(*accuracy, name, faults);
  if (description.type == PlateType::six_component_matrix) section.need("sensitivity");
  if (const auto matrix = section.matrix("sensitivity"))
    read_sensitivity(section, *matrix, plate);
  else
    read_component_units(section, plate);
  if (faults.first()) return plate;
  if (const auto map = plate::WrenchMap::make(description); !map)
    section.fault(fmt::format("cannot be used: {}: {}", map.error().where, map.error().what),
                  map.error().advice);
  return plate;
}

void read_athlete(const toml::table& table, Faults& faults, AthleteSettings& athlete) {
  const Section section(table, "[athlete]", faults,
                        {"id", "name", "born", "throws", "mass", "height"});
  athlete.id = section.text("id").value_or("");
  athlete.name = section.text("name").value_or("");
  athlete.born = section.text("born").value_or("");
  if (!athlete.born.empty() && !is_date(athlete.born))
    section.fault_at("born", "is not a date", "write it as \"2003-05-14\"");
  if (const auto hand = section.choice("throws", {"right", "left"}))
    athlete.throws = *hand == 0 ? session::Hand::right : session::Hand::left;
  if (const auto mass = section.quantity("mass", Dimension::mass)) athlete.mass.value = *mass;
  if (const auto height = section.quantity("height", Dimension::length))
    athlete.height.value = *height;
}

void read_ball(const toml::table& table, Faults& faults, ImportSettings& settings) {
  const Section section(table, "[ball]", faults, {"speed"});
  section.need("speed");
  if (const auto speed = section.quantity("speed", Dimension::speed)) {
    session::KnownBallSpeed known;
    known.speed.value = *speed;
    known.text = *section.text("speed");
    settings.ball_speed = std::move(known);
  }
}

void read_release(const toml::table& table, Faults& faults, ImportSettings& settings) {
  const Section section(table, "[release]", faults, {"time", "uncertainty"});
  section.need("time");
  section.need("uncertainty");
  session::KnownRelease release;
  release.time = session_time(section.quantity("time", Dimension::time, true).value_or(0.0));
  release.u = section.quantity("uncertainty", Dimension::time).value_or(0.0);
  release.source = "import settings";
  settings.release = std::move(release);
}

void read_foot_line(const toml::table& table, const Frame& frame, Faults& faults,
                    ImportSettings& settings) {
  const Section section(table, "[foot_line]", faults, {"heel", "toe", "uncertainty"});
  for (const char* key : {"heel", "toe", "uncertainty"}) section.need(key);
  session::FootLine line;
  const auto heel = section.point("heel");
  const auto toe = section.point("toe");
  line.u = section.quantity("uncertainty", Dimension::length).value_or(0.0);
  if (!heel || !toe) return;
  line.heel = frame.metres * (frame.to_lab * *heel);
  line.toe = frame.metres * (frame.to_lab * *toe);
  // Half the shortest shoe there is: nearer than that the two are the same point.
  constexpr double least_length = 0.05;
  if ((line.toe - line.heel).norm() < least_length)
    section.fault_at("toe", "lies within 5 cm of the heel", "check length_unit of [frame]");
  settings.foot_line = line;
}

void check_columns(const ImportSettings& settings, const Section& root) {
  std::set<std::string> seen;
  const auto once = [&](const std::string& name) {
    if (name.empty()) root.fault("names a column ''");
    if (!seen.insert(name).second)
      root.fault(fmt::format("uses the column '{}' twice", name.substr(0, 40)));
  };
  if (settings.time_column) once(settings.time_column->name);
  for (const PlateColumns& plate : settings.plates)
    for (const std::string& name : plate.names) once(name);
}

// More than mounds are built of; a longer list is a mistake.
constexpr std::size_t most_plates = 16;

ImportSettings read_root(const toml::table& table, Faults& faults) {
  const Section root(table, "the file", faults,
                     {"file", "time", "frame", "plate", "athlete", "ball", "release", "foot_line"});
  root.need("time");
  root.need("plate");
  ImportSettings settings;
  if (const auto* file = root.table("file")) read_file(*file, faults, settings.file);
  if (const auto* time = root.table("time")) read_time(*time, faults, settings);
  Frame frame;
  if (const auto* given = root.table("frame")) frame = read_frame(*given, faults);
  settings.to_lab = frame.to_lab;
  if (const toml::node* node = table.get("plate")) {
    const auto* plates = node->as_array();
    if (plates == nullptr || !plates->is_homogeneous(toml::node_type::table) || plates->empty() ||
        plates->size() > most_plates)
      root.fault_at("plate", fmt::format("is not 1 to {} tables", most_plates),
                    "write [[plate]] above each");
    else
      for (const toml::node& plate : *plates)
        settings.plates.push_back(
            read_plate(*plate.as_table(), settings.plates.size() + 1, frame, faults));
  }
  if (const auto* athlete = root.table("athlete")) read_athlete(*athlete, faults, settings.athlete);
  if (const auto* ball = root.table("ball")) read_ball(*ball, faults, settings);
  if (const auto* release = root.table("release")) read_release(*release, faults, settings);
  if (const auto* line = root.table("foot_line")) read_foot_line(*line, frame, faults, settings);
  check_columns(settings, root);
  return settings;
}

}  // namespace

Result<ImportSettings> read_import_settings(const std::filesystem::path& path) {
  const std::string name = path.string();
  if (auto file = refuse_endless(path); !file) return tl::make_unexpected(file.error());
  std::error_code status;
  const auto size = std::filesystem::file_size(path, status);
  std::ifstream stream(path, std::ios::binary);
  if (status || !stream)
    return fail(name, "cannot be opened as a file", "check the name and that you may read it");
  if (size > largest_settings)
    return fail(name, fmt::format("is {} bytes long, too long for import settings", size),
                "check that this is not the table itself");
  std::string text(size, '\0');
  stream.read(text.data(), static_cast<std::streamsize>(size));
  if (!stream) return fail(name, "could not be read to its end", "check the disk");
  return parse_import_settings(text, name);
}

Result<ImportSettings> parse_import_settings(std::string_view text, const std::string& name) {
  toml::table table;
  try {
    table = toml::parse(text);
  } catch (const toml::parse_error& error) {
    return fail(fmt::format("{}, line {}", name, error.source().begin.line),
                fmt::format("is not TOML: {}", error.description()));
  }
  Faults faults(name);
  ImportSettings settings = read_root(table, faults);
  if (faults.first()) return Failure(*faults.first());
  return settings;
}

}  // namespace moundwork::table
