"""Files in and out: workbook, documents, archive, intake."""
