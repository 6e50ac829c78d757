// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/desk/prepare/text_steps.h"

#include <QKeyEvent>
#include <QPlainTextEdit>
#include <QPointer>
#include <QTextBlock>
#include <QUndoStack>
#include <algorithm>
#include <utility>

namespace moundwork::desk {
namespace {

class TextStep : public QUndoCommand {
 public:
  TextStep(QTextDocument* document, const QString& what)
      : QUndoCommand(what), document_(document) {}
  void undo() override {
    if (document_) document_->undo();
  }
  void redo() override {
    // The stack calls this once as it takes the step, when the text has been typed already.
    if (!std::exchange(fresh_, false) && document_) document_->redo();
  }

 private:
  QPointer<QTextDocument> document_;
  bool fresh_ = true;
};

}  // namespace

TextSteps::TextSteps(QPlainTextEdit& editor, QUndoStack& stack, const QString& what)
    : QObject(&editor), editor_(editor) {
  connect(editor_.document(), &QTextDocument::undoCommandAdded, this,
          [this, &stack, what] { stack.push(new TextStep(editor_.document(), what)); });
  editor_.installEventFilter(this);
}

void TextSteps::replace(const QString& text) {
  const QString now = editor_.toPlainText();
  if (now == text) return;
  qsizetype same = 0;
  const qsizetype shorter = std::min(now.size(), text.size());
  while (same < shorter && now[same] == text[same]) ++same;
  qsizetype tail = 0;
  while (tail < shorter - same && now[now.size() - 1 - tail] == text[text.size() - 1 - tail])
    ++tail;
  QTextCursor cursor(editor_.document());
  cursor.beginEditBlock();
  cursor.setPosition(static_cast<int>(same));
  cursor.setPosition(static_cast<int>(now.size() - tail), QTextCursor::KeepAnchor);
  cursor.insertText(text.mid(same, text.size() - same - tail));
  cursor.endEditBlock();
}

bool TextSteps::eventFilter(QObject* watched, QEvent* event) {
  if (event->type() == QEvent::ShortcutOverride) {
    auto* key = static_cast<QKeyEvent*>(event);
    // Left to the window's Edit menu, whose steps include this editor's.
    if (key->matches(QKeySequence::Undo) || key->matches(QKeySequence::Redo)) {
      key->ignore();
      return true;
    }
  }
  return QObject::eventFilter(watched, event);
}

}  // namespace moundwork::desk
