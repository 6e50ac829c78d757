// SPDX-License-Identifier: GPL-3.0-or-later
#include "core/output/hdf5_tables.h"

#include <utility>

#include "core/base/write_file.h"
#include "core/session/hdf5.h"
#include "core/session/hdf5_lock.h"
#include "core/session/memory_file.h"
#include "core/session/own_parts.h"

namespace moundwork::output {
namespace {

namespace hdf5 = session::hdf5;

constexpr const char* format_name = "moundwork-tables";

std::vector<std::string> texts_of(const H5::DataSet& column) {
  const hsize_t rows = hdf5::rows_held(column);
  H5::StrType type(H5::PredType::C_S1, H5T_VARIABLE);
  type.setCset(H5T_CSET_UTF8);
  std::vector<char*> cells(rows, nullptr);
  if (rows > 0) column.read(cells.data(), type);
  std::vector<std::string> texts;
  for (const char* cell : cells) texts.emplace_back(cell == nullptr ? "" : cell);
  if (rows > 0) H5::DataSet::vlenReclaim(cells.data(), type, column.getSpace());
  return texts;
}

H5::DataSet make_dataset(H5::Group& group, const std::string& name, const H5::DataType& type,
                         std::size_t rows) {
  const hsize_t count = rows;
  H5::DSetCreatPropList properties;
  if (rows > 0) {
    constexpr hsize_t most_rows_a_chunk = 4096;
    constexpr int deflate_level = 4;
    const hsize_t chunk = std::min<hsize_t>(count, most_rows_a_chunk);
    properties.setChunk(1, &chunk);
    properties.setDeflate(deflate_level);
  }
  return group.createDataSet(name, type, H5::DataSpace(1, &count), properties);
}

H5::DataSet write_cells(H5::Group& group, const std::string& name,
                        const std::vector<std::string>& cells) {
  H5::StrType type(H5::PredType::C_S1, H5T_VARIABLE);
  type.setCset(H5T_CSET_UTF8);
  H5::DataSet dataset = make_dataset(group, name, type, cells.size());
  std::vector<const char*> texts;
  texts.reserve(cells.size());
  for (const std::string& cell : cells) texts.push_back(cell.c_str());
  if (!texts.empty()) dataset.write(texts.data(), type);
  return dataset;
}

H5::DataSet write_cells(H5::Group& group, const std::string& name,
                        const std::vector<double>& cells) {
  H5::DataSet dataset = make_dataset(group, name, H5::PredType::IEEE_F64LE, cells.size());
  if (!cells.empty()) dataset.write(cells.data(), H5::PredType::NATIVE_DOUBLE);
  return dataset;
}

H5::DataSet write_cells(H5::Group& group, const std::string& name,
                        const std::vector<std::int64_t>& cells) {
  H5::DataSet dataset = make_dataset(group, name, H5::PredType::STD_I64LE, cells.size());
  if (!cells.empty()) dataset.write(cells.data(), H5::PredType::NATIVE_INT64);
  return dataset;
}

H5::DataSet write_cells(H5::Group& group, const std::string& name,
                        const std::vector<YesNo>& cells) {
  std::vector<std::int8_t> answers;
  answers.reserve(cells.size());
  for (const YesNo cell : cells) answers.push_back(cell.value ? 1 : 0);
  H5::DataSet dataset = make_dataset(group, name, H5::PredType::STD_I8LE, cells.size());
  if (!answers.empty()) dataset.write(answers.data(), H5::PredType::NATIVE_INT8);
  return dataset;
}

std::string bytes_of(std::span<const Table> tables) {
  const auto held = session::hdf5::hold_library();
  hdf5::MemoryFile memory({}, false);
  H5::H5File& file = memory.file();
  H5::Group root = file.openGroup("/");
  hdf5::write(root, "format", std::string(format_name));
  hdf5::write(root, "schema", std::int64_t{1});
  hdf5::write(root, "software", std::string("Moundwork " MOUNDWORK_VERSION));
  for (const Table& table : tables) {
    H5::Group group = file.createGroup(table.name);
    std::vector<std::string> names;
    for (const Column& column : table.columns) {
      H5::DataSet dataset = std::visit(
          [&](const auto& cells) { return write_cells(group, column.name, cells); }, column.cells);
      hdf5::write(dataset, "unit", column.unit);
      hdf5::write(dataset, "definition", column.definition);
      names.push_back(column.name);
    }
    hdf5::write(group, "columns", names);
  }
  root.close();
  return memory.close();
}

}  // namespace

Result<void> write_hdf5(std::span<const Table> tables, const std::filesystem::path& path) {
  std::string bytes;
  try {
    bytes = bytes_of(tables);
  } catch (const H5::Exception& exception) {
    return hdf5::failure(path.string(), "cannot be written", exception);
  }
  return write_file(path, bytes);
}

std::set<std::string> athletes_in_hdf5(const std::filesystem::path& path) {
  std::set<std::string> athletes;
  if (!hdf5::readable(path)) return athletes;
  const auto held = session::hdf5::hold_library();
  try {
    const H5::H5File file(path.string(), H5F_ACC_RDONLY);
    hdf5::require_own_parts(file);
    const H5::Group root = file.openGroup("/");
    if (hdf5::read_text(root, "format") != format_name) return athletes;
    for (hsize_t i = 0; i < root.getNumObjs(); ++i) {
      if (root.getObjTypeByIdx(i) != H5G_GROUP) continue;
      const H5::Group table = root.openGroup(root.getObjnameByIdx(i));
      if (!table.nameExists("athlete")) continue;
      for (std::string& cell : texts_of(table.openDataSet("athlete")))
        athletes.insert(std::move(cell));
    }
  } catch (const H5::Exception&) {
    return {};
  }
  return athletes;
}

}  // namespace moundwork::output
