using System.Globalization;
using System.Text;
using System.Text.Json;

namespace KilnShare.Api.Common;

/// <summary>Where a reader stands in a JSON text, told token by token.</summary>
internal sealed class JsonPlace
{
    private readonly bool[] isList = new bool[Json.MaxDepth + 2];
    private readonly int[] index = new int[Json.MaxDepth + 2];
    private readonly string?[] name = new string?[Json.MaxDepth + 2];
    private int depth;

    /// <summary>True when the token just passed is an entry of a list.</summary>
    public bool IsInList => isList[depth];

    /// <summary>The token just passed as a JSON pointer.</summary>
    public string Pointer
    {
        get
        {
            var pointer = new StringBuilder();
            for (var level = 1; level <= depth; level++)
                pointer.Append('/').Append(isList[level] ? index[level].ToString(CultureInfo.InvariantCulture) : Problems.Escape(name[level] ?? ""));
            return pointer.ToString();
        }
    }

    /// <summary>Takes the token that the reader stands on.</summary>
    public void Pass(ref Utf8JsonReader reader)
    {
        switch (reader.TokenType)
        {
            case JsonTokenType.StartArray or JsonTokenType.StartObject:
                CountEntry();
                depth++;
                (isList[depth], index[depth]) = (reader.TokenType == JsonTokenType.StartArray, -1);
                break;
            case JsonTokenType.EndArray or JsonTokenType.EndObject:
                depth--;
                break;
            case JsonTokenType.PropertyName:
                name[depth] = reader.ValueSpan.Length <= LongestName ? reader.GetString() : "…";
                break;
            default:
                CountEntry();
                break;
        }
    }

    private const int LongestName = 200;

    private void CountEntry()
    {
        if (isList[depth]) index[depth]++;
    }
}
