;;; purfle-mode.el --- Rulebooks for inspecting bowed string instruments  -*- lexical-binding: t; -*-

;; Version: 0.1.0
;; Package-Requires: ((emacs "26.3"))
;; Keywords: languages
;; SPDX-License-Identifier: MIT

;;; Commentary:

;; Colours and indents Purfle rulebooks, files that end in .purfle, and lets Eglot speak with the language server
;; `purfle-editor', which checks, completes, explains, renames and lays out.  Eglot comes with Emacs from 29 on; before, it
;; is the package `eglot'.
;;
;; To use it, put this file in a folder that Emacs looks into, and write into your init file
;;
;;     (require 'purfle-mode)
;;     (add-hook 'purfle-mode-hook #'eglot-ensure)

;;; Code:

(require 'url-util)

(defgroup purfle nil
  "Rulebooks for inspecting bowed string instruments."
  :group 'languages)

(defcustom purfle-server-command '("purfle-editor")
  "How the language server is started: the program, then what is given to it."
  :type '(repeat string))

(defcustom purfle-proof-run "type"
  "When the whole rulebook is examined: while typing, when saving, or never."
  :type '(choice (const "type") (const "save") (const "never")))

(defcustom purfle-diagnostics-delay 200
  "How many milliseconds after the last key press that is done."
  :type 'integer)

(defconst purfle-items
  '("rulebook" "urgency" "hands" "tiers" "work" "part" "context" "table" "reckon" "finding" "raise" "counsel" "aid" "example"
    "alter" "without")
  "The words at the margin that begin an item.")

(defconst purfle-clauses
  '("edition" "keeper" "money" "language" "notice" "least" "builds" "step" "hand" "tier" "includes" "look" "place" "places"
    "only" "how" "care" "private" "good" "row" "on" "signs" "unless" "urgency" "hands" "work" "goods" "cost" "left" "again"
    "yields" "first" "tell" "refer" "basis" "way" "when" "by" "for" "covers" "pays" "cap" "family" "not" "needs" "record"
    "finds" "clear" "open" "suspects" "played" "due" "looks" "counsel" "refused" "aid")
  "The words that begin an indented line, and with it a clause.")

(defconst purfle-details '("only" "how" "care" "private" "good")
  "The words of clauses that belong to the look or the place above them.")

(defconst purfle-words
  '("all" "and" "any" "at" "every" "found" "from" "has" "if" "in" "is" "last" "no" "not" "of" "or" "to" "total" "with"
    "least" "most" "above" "below" "one" "some" "because" "each" "once" "within" "odds" "measured" "counted" "priced" "dated"
    "written" "give" "take" "yes" "lower" "higher" "days" "sight" "nothing" "else" "per" "h" "up" "beyond" "as" "apart" "be"
    "played" "than" "step" "steps" "charge" "becomes" "by" "on" "place" "when" "cost" "urgency" "tier" "found" "eligible"
    "refused" "open" "clear" "edition" "pays" "look" "way" "hand")
  "The words of the language inside a clause.")

(defvar purfle-mode-syntax-table
  (let ((table (make-syntax-table)))
    (modify-syntax-entry ?# "<" table)
    (modify-syntax-entry ?\n ">" table)
    (modify-syntax-entry ?\" "\"" table)
    (modify-syntax-entry ?\\ "\\" table)
    (modify-syntax-entry ?- "w" table)
    (modify-syntax-entry ?. "." table)
    table)
  "What the characters of a rulebook are.")

(defvar purfle-font-lock-keywords
  (let ((name "[[:alpha:]][[:alnum:].-]*"))
    `((,(concat "^\\(alter\\|without\\)[ \t]+\\([a-z]+\\)\\_>\\(?:[ \t]+\\(" name "\\)\\)?")
       (1 font-lock-keyword-face) (2 font-lock-keyword-face) (3 font-lock-function-name-face nil t))
      (,(concat "^\\(" (regexp-opt purfle-items) "\\)\\>\\(?:[ \t]+\\(" name "\\)\\)?")
       (1 font-lock-keyword-face) (2 font-lock-function-name-face nil t))
      (,(concat "^[ \t]+\\(look\\|place\\|step\\|hand\\|tier\\|way\\)[ \t]+\\(" name "\\)")
       (1 font-lock-builtin-face) (2 font-lock-function-name-face))
      (,(concat "^[ \t]+\\(" (regexp-opt purfle-clauses) "\\)\\>") 1 font-lock-builtin-face)
      ("\\_<-?[0-9]+\\(?:\\.[0-9]+\\|-[0-9]+-[0-9]+\\)?\\>[ \t]*\\(%\\|mm\\|cm\\|m\\|inch\\|in\\|deg\\|deg[CF]\\|min\\|h\\|days?\\|weeks?\\|months?\\|years?\\|[A-Z]\\{3\\}\\)?"
       (0 font-lock-constant-face) (1 font-lock-type-face t t))
      ;; A name may have the look of such a word only behind a point.
      (,(concat "\\(?:^\\|[^.[:word:]]\\)\\(" (regexp-opt purfle-words) "\\)\\>") 1 font-lock-type-face)))
  "What is coloured how in a rulebook.")

(defun purfle--above ()
  "The word of the nearest line above that begins a look, place, way or item."
  (save-excursion
    (beginning-of-line)
    (when (re-search-backward "^\\(?:[ \t]+\\(look\\|place\\|places\\|way\\)\\>\\|\\([a-z]+\\)\\)" nil t)
      (or (match-string-no-properties 1) (match-string-no-properties 2)))))

(defun purfle--indentation ()
  "How far the line at point is to be indented."
  (save-excursion
    (back-to-indentation)
    (let ((above (purfle--above)))
      (cond
       ((bobp) 0)
       ((looking-at (concat "\\(?:" (regexp-opt purfle-items) "\\)[ \t]+\\(?:[[:alpha:]][[:alnum:]-]*[ \t]+\\)?\"")) 0)
       ((looking-at "\\(?:alter\\|without\\)[ \t]+[a-z]") 0)
       ((looking-at "\\(?:urgency\\|hands\\|tiers\\)[ \t]*$") 0)
       ((null above) 0)
       ((looking-at "-[ \t]") 4)
       ((and (member above '("look" "place")) (looking-at (concat (regexp-opt purfle-details) "\\>"))) 4)
       ((and (equal above "way") (looking-at "\\(?:work\\|goods\\|cost\\|hands\\|tell\\|refer\\)\\>")) 4)
       ((looking-at "#") (current-column))
       ((looking-at (concat (regexp-opt purfle-clauses) "\\>\\|$")) 2)
       ;; It goes on with the line above, and stands where its author put it.
       (t (if (> (current-column) 0) (current-column) 4))))))

(defun purfle-indent-line ()
  "Indent the line at point as its first word asks."
  (interactive)
  (let ((offset (- (current-column) (current-indentation))))
    (indent-line-to (purfle--indentation))
    (when (> offset 0)
      (forward-char offset))))

;;;###autoload
(define-derived-mode purfle-mode prog-mode "Purfle"
  "A mode for Purfle rulebooks."
  (setq-local comment-start "# ")
  (setq-local comment-start-skip "#+[ \t]*")
  (setq-local comment-end "")
  (setq-local indent-tabs-mode nil)
  (setq-local tab-width 2)
  (setq-local fill-column 110)
  (setq-local indent-line-function #'purfle-indent-line)
  (setq-local electric-indent-inhibit t)
  (setq-local font-lock-defaults '(purfle-font-lock-keywords))
  (setq-local imenu-generic-expression
              '(("Findings" "^finding[ \t]+\\([[:alnum:]-]+\\)" 1)
                ("Parts" "^\\(?:part\\|context\\)[ \t]+\\([[:alnum:]-]+\\)" 1)
                ("Work" "^work[ \t]+\\([[:alnum:]-]+\\)" 1)
                ("Tables" "^table[ \t]+\\([[:alnum:]-]+\\)" 1)
                ("Examples" "^example[ \t]+\"\\([^\"\n]+\\)\"" 1))))

;;;###autoload
(add-to-list 'auto-mode-alist '("\\.purfle\\'" . purfle-mode))

;; The language server.

(declare-function eglot-current-server "eglot")
(declare-function jsonrpc-request "jsonrpc")
(defvar eglot-server-programs)

(defun purfle--settings ()
  "The settings that the language server hears."
  `(:proof (:run ,purfle-proof-run)
    :diagnostics (:delay ,purfle-diagnostics-delay)))

(defun purfle--contact (&rest _)
  "How Eglot starts the language server, and what it says first."
  (append purfle-server-command `(:initializationOptions ,(purfle--settings))))

(with-eval-after-load 'eglot
  (add-to-list 'eglot-server-programs '(purfle-mode . purfle--contact)))

(defun purfle--execute (command &rest arguments)
  "Let the server carry COMMAND out with ARGUMENTS, and show what it answers."
  (let ((server (and (fboundp 'eglot-current-server) (eglot-current-server))))
    (unless server
      (user-error "The language server does not run for this buffer; start it with M-x eglot"))
    (let* ((answer (jsonrpc-request server :workspace/executeCommand
                                    `(:command ,command :arguments ,(vconcat arguments))
                                    :timeout 60))
           (text (if (stringp answer) answer (or (plist-get answer :report) (plist-get answer :text)))))
      (with-current-buffer (get-buffer-create (format "*%s*" command))
        (let ((inhibit-read-only t))
          (erase-buffer)
          (insert (or text "")))
        (goto-char (point-min))
        (special-mode)
        (display-buffer (current-buffer))))))

(defun purfle--uri ()
  "The address of the rulebook in this buffer."
  (unless buffer-file-name
    (user-error "Save the rulebook first"))
  (concat "file://" (url-hexify-string (file-truename buffer-file-name) (cons ?/ url-unreserved-chars))))

(defun purfle-triage (records)
  "Run triage on the file RECORDS by the rulebook in this buffer."
  (interactive "fRecords: ")
  (purfle--execute "purfle.triage" (purfle--uri) (expand-file-name records)))

(defun purfle-slip (records record)
  "Show the slip of RECORD in the file RECORDS by the rulebook in this buffer."
  (interactive "fRecords: \nsThe record's mark: ")
  (purfle--execute "purfle.slip" (purfle--uri) (expand-file-name records) record))

(provide 'purfle-mode)

;;; purfle-mode.el ends here
