using System.Text;

namespace KilnShare.Api.Tests.Costs;

/// <summary>Reads CSV by the grammar of RFC 4180, section 2, knowing nothing of how it was written.</summary>
internal static class CsvReading
{
    public static List<List<string>> Rows(string text)
    {
        var (rows, row, cell) = (new List<List<string>>(), new List<string>(), new StringBuilder());
        for (var i = 0; i < text.Length;)
        {
            if (text[i] == '"')
            {
                for (i++; text[i] != '"' || (i + 1 < text.Length && text[i + 1] == '"'); i++)
                {
                    if (text[i] == '"') i++;
                    cell.Append(text[i]);
                }

                i++;
            }

            while (i < text.Length && text[i] is not (',' or '\r')) cell.Append(text[i++]);
            row.Add(cell.ToString());
            cell.Clear();
            if (text[i] == ',')
            {
                i++;
                continue;
            }

            Assert.Equal("\r\n", text[i..(i + 2)]);
            i += 2;
            rows.Add(row);
            row = [];
        }

        Assert.Empty(row);
        return rows;
    }
}
