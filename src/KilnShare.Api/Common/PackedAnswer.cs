using System.Buffers;
using System.IO.Compression;
using KilnShare.Api.Access;
using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>
/// How an answer is packed: by Brotli or gzip where the caller takes it, it is text, and it pays. Never one that holds a secret: how short it gets tells
/// something of what is in it.
/// </summary>
internal static class PackedAnswer
{
    private const int LeastBytes = 1024; // below it fits into one packet either way
    private const int BrotliQuality = 4; // as long as gzip takes, and shorter; common practice, no source
    private const int BrotliWindow = 20;

    /// <summary>The coding of this answer, <c>br</c> or <c>gzip</c>; null: as it is.</summary>
    public static string? CodingOf(HttpContext context, long bytes)
    {
        if (bytes < LeastBytes || context.Request.Headers.AcceptEncoding is not { Count: > 0 } accepted) return null;
        if (!IsText(context.Response.ContentType) || context.Response.Headers.ContentEncoding.Count > 0 || AccessTable.RowOf(context) is { TellsSecret: true })
            return null;
        if (!StringWithQualityHeaderValue.TryParseList(accepted.ToArray()!, out var wanted)) return null;
        var (brotli, gzip) = (QualityOf("br", wanted), QualityOf("gzip", wanted));
        return brotli > 0 && brotli >= gzip ? "br" : gzip > 0 ? "gzip" : null;
    }

    /// <summary>Packs it.</summary>
    public static async ValueTask<AnswerBuffer> Pack(ReadOnlySequence<byte> answer, string coding)
    {
        var packed = new AnswerBuffer(CancellationToken.None);
        if (coding == "br")
        {
            PackByBrotli(answer, packed.Writer);
            return packed;
        }

        await using var zip = new GZipStream(packed, CompressionLevel.Optimal, leaveOpen: true);
        foreach (var part in answer) zip.Write(part.Span);
        return packed;
    }

    private static void PackByBrotli(ReadOnlySequence<byte> answer, IBufferWriter<byte> into)
    {
        using var encoder = new BrotliEncoder(BrotliQuality, BrotliWindow);
        foreach (var part in answer)
        {
            for (var rest = part.Span; !rest.IsEmpty;)
            {
                encoder.Compress(rest, into.GetSpan(), out var read, out var written, isFinalBlock: false);
                into.Advance(written);
                rest = rest[read..];
            }
        }

        for (var ended = false; !ended;)
        {
            ended = encoder.Compress([], into.GetSpan(), out _, out var written, isFinalBlock: true) == OperationStatus.Done;
            into.Advance(written);
        }
    }

    private static bool IsText(string? type) => MediaTypeHeaderValue.TryParse(type, out var media)
        && (media.Type.Equals("text", StringComparison.OrdinalIgnoreCase) || media.SubTypeWithoutSuffix == "json" || media.SubTypeWithoutSuffix == "javascript"
            || media.Suffix == "json" || media.Suffix == "xml");

    private static double QualityOf(string coding, IList<StringWithQualityHeaderValue> wanted) =>
        (wanted.FirstOrDefault(w => w.Value.Equals(coding, StringComparison.OrdinalIgnoreCase)) ?? wanted.FirstOrDefault(w => w.Value == "*")) is { } found
            ? found.Quality ?? 1 : 0;
}
