// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <QWidget>
#include <filesystem>
#include <vector>

class QLabel;

namespace moundwork::desk {

/// Offers recordings that were cut off, one after another: to go on with, or to close as they are.
class UnfinishedOffer : public QWidget {
  Q_OBJECT
 public:
  explicit UnfinishedOffer(QWidget* parent = nullptr);
  void set_files(std::vector<std::filesystem::path> files);
  [[nodiscard]] bool empty() const { return files_.empty(); }

 Q_SIGNALS:
  void go_on_wanted(const std::filesystem::path& file);
  void close_wanted(const std::filesystem::path& file);

 private:
  [[nodiscard]] std::filesystem::path take();

  QLabel* words_;
  std::vector<std::filesystem::path> files_;
};

}  // namespace moundwork::desk
