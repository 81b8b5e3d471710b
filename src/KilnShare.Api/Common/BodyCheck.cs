using System.Buffers;
using System.IO.Pipelines;
using System.Text.Json;
using System.Text.Unicode;
using Microsoft.Net.Http.Headers;

namespace KilnShare.Api.Common;

/// <summary>
/// Looks a JSON body over before anything is made of it: UTF-8 without a mark in front, well formed, not too deep, and not so many values
/// that reading them would cost much memory. The body stays where it is, to be read by the handler.
/// </summary>
public sealed class BodyCheck(RequestDelegate next)
{
    /// <summary>Most values in a body: the largest honest one is 2,000 polygons of 64 corners.</summary>
    public const int MostValues = 500_000;

    private static readonly byte[] Mark = [0xEF, 0xBB, 0xBF];

    /// <summary>Answers 400 or 415, or passes on.</summary>
    public async Task InvokeAsync(HttpContext context)
    {
        if (context.GetEndpoint() is null || !MediaTypeHeaderValue.TryParse(context.Request.ContentType, out var type) || !IsJson(type.MediaType.Value))
        {
            await next(context);
            return;
        }

        var answer = type.Charset.HasValue && !type.Charset.Equals("utf-8", StringComparison.OrdinalIgnoreCase)
            ? EdgeExceptions.OfStatus(StatusCodes.Status415UnsupportedMediaType)
            : await Read(context.Request.BodyReader, context.RequestAborted);
        await (answer is null ? next(context) : answer.ExecuteAsync(context));
    }

    private static bool IsJson(string? mediaType) => mediaType is "application/json" or MergePatch.MediaType;

    private static async Task<IResult?> Read(PipeReader reader, CancellationToken cancellation)
    {
        while (true)
        {
            var read = await reader.ReadAsync(cancellation);
            if (read.IsCompleted)
            {
                var answer = Check(read.Buffer);
                reader.AdvanceTo(read.Buffer.Start);
                return answer;
            }

            reader.AdvanceTo(read.Buffer.Start, read.Buffer.End);
        }
    }

    private static IResult? Check(ReadOnlySequence<byte> body)
    {
        if (body.IsEmpty) return Malformed("There is no body. Send the JSON that the document of this call describes.", null);
        var utf8 = body.IsSingleSegment ? body.FirstSpan : body.ToArray();
        if (utf8.StartsWith(Mark)) return Malformed("The body begins with a byte order mark. Send plain UTF-8 without one.", null);
        if (!Utf8.IsValid(utf8)) return Malformed("The body is not UTF-8.", null);
        var reader = new Utf8JsonReader(utf8, new JsonReaderOptions { MaxDepth = Json.MaxDepth });
        try
        {
            for (var values = 0; reader.Read();)
            {
                if (++values > MostValues)
                    return Problems.Answer(400, "request.too-many-values", $"The body holds more than {MostValues} values. Send it in parts.", null, null, null);
            }
        }
        catch (JsonException)
        {
            return Malformed(
                reader.CurrentDepth >= Json.MaxDepth ? $"The JSON is nested deeper than {Json.MaxDepth} levels." : "The body is not well-formed JSON (RFC 8259): no comments, no commas at the end, one value.", null);
        }

        return null;
    }

    private static IResult Malformed(string detail, string? pointer) => Problems.Answer(400, "request.malformed", detail, pointer, null, null);
}
