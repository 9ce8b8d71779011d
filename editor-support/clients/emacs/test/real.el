;;; real.el --- Does in a real Emacs what a keeper of rulebooks does  -*- lexical-binding: t; -*-

;;; Commentary:

;; Writes down what came of it, as JSON, into the file that the variable PURFLE_RESULT names.  Started by the test
;; editor-support/tests/clients/emacs.rs in a folder made for it, with purfle-mode.el loaded before.

;;; Code:

(require 'cl-lib)
(require 'json)
(require 'eglot)
(require 'flymake)

(defvar real-result nil)

(defun real-note (key value)
  "Note VALUE under KEY."
  (push (cons key value) real-result))

(defun real-await (what holds)
  "Wait until HOLDS says so; where it never does, note WHAT was missed."
  (let ((end (+ (float-time) 15)))
    (while (and (not (funcall holds)) (< (float-time) end))
      (accept-process-output nil 0.05))
    (unless (funcall holds)
      (real-note 'missed (vconcat (alist-get 'missed real-result) (list what))))))

(defun real-open (name)
  "Visit NAME, with the language server."
  (switch-to-buffer (find-file-noselect name))
  (unless (eglot-current-server)
    (apply #'eglot--connect (eglot--guess-contact)))
  (unless (eglot-managed-p)
    (eglot--maybe-activate-editing-mode))
  (flymake-start)
  (current-buffer))

(defun real-text (buffer)
  "What stands in BUFFER."
  (with-current-buffer buffer
    (buffer-substring-no-properties (point-min) (point-max))))

(defun real-messages ()
  "What is told of the buffer, with the lines."
  (sort (mapcar (lambda (diagnostic)
                  (format "%d: %s" (line-number-at-pos (flymake-diagnostic-beg diagnostic)) (flymake-diagnostic-text diagnostic)))
                (flymake-diagnostics))
        #'string<))

(defun real-face (words)
  "The face of the first letter of WORDS."
  (goto-char (point-min))
  (search-forward words)
  (format "%s" (get-text-property (match-beginning 0) 'face)))

(defun real-run ()
  "Do it all."
  (real-note 'version emacs-version)
  (let ((broken (real-open "broken.purfle")))
    (real-note 'mode (symbol-name major-mode))
    (real-await "diagnostics of broken.purfle" #'flymake-diagnostics)
    (real-note 'diagnostics (vconcat (real-messages)))

    (font-lock-ensure)
    (real-note 'faces (vector (real-face "finding") (real-face "signs") (real-face "\"The peg")))

    (goto-char (point-min))
    (search-forward "turns is ")
    (let ((offered (eglot-completion-at-point)))
      (real-note 'completion
                 (vconcat (sort (mapcar #'substring-no-properties (all-completions "" (nth 2 offered))) #'string<))))

    (goto-char (point-min))
    (search-forward "slipps")
    (let* ((start (match-beginning 0))
           (end (match-end 0))
           (titles (mapcar (lambda (action) (plist-get action :title)) (eglot-code-actions start end "quickfix"))))
      (cl-letf (((symbol-function 'completing-read)
                 (lambda (_ choices &rest _)
                   (seq-find (lambda (title) (string-match-p "`slips`" title)) (all-completions "" choices)))))
        (eglot-code-actions start end "quickfix" t))
      (real-note 'offered (vconcat titles)))
    (real-note 'fixed (real-text broken))
    ;; What else is done when nobody types for a moment, which without a screen is never.
    (eglot--signal-textDocument/didChange)
    (real-await "no mistake after the fix" (lambda () (flymake-start) (null (flymake-diagnostics))))
    (real-note 'after (vconcat (real-messages)))

    (eglot-format-buffer)
    (real-note 'formatted (real-text broken)))

  (let ((house (real-open "house.purfle"))
        (shop (real-open "shop.purfle")))
    (goto-char (point-min))
    (search-forward "finding peg-s")
    (eglot-rename "peg-lets-go")
    (real-note 'renamed `((shop . ,(real-text shop)) (house . ,(real-text house))))
    (dolist (buffer (list shop house))
      (with-current-buffer buffer (save-buffer))))

  (purfle-triage "records.csv")
  (real-note 'report (real-text "*purfle.triage*")))

(let ((backup-inhibited t)
      (make-backup-files nil)
      (create-lockfiles nil))
  (condition-case failed
      (real-run)
    (error (real-note 'failed (format "%S" failed)))))
(let ((coding-system-for-write 'utf-8))
  (write-region (json-encode real-result) nil (getenv "PURFLE_RESULT")))

;;; real.el ends here
